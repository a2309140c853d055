import type { Problem } from '../problem.ts';

/** Marks the problems that a session file accepts, with its reason. */
export function accepted(problems: readonly Problem[], accept: Readonly<Record<string, string>>): Problem[] {
  return problems.map((problem) => {
    const reason = accept[problem.code];
    return reason === undefined ? problem : { ...problem, accepted: reason };
  });
}
