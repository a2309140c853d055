/** Thrown where a directive asks for something that cannot be had; the pipeline makes a problem of it. */
export class Mistake extends Error {
  readonly found: string;
  readonly expected: string;
  readonly remedy: string;

  constructor(found: string, expected: string, remedy: string) {
    super(found);
    this.found = found;
    this.expected = expected;
    this.remedy = remedy;
  }
}
