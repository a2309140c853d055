import type { Problem } from '../problem.ts';

/** Thrown by a reader that will not go on; `readLog` hands the problem to the user. */
export class Refusal extends Error {
  readonly problem: Problem;

  constructor(problem: Problem) {
    super(problem.found);
    this.problem = problem;
  }
}
