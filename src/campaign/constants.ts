/** A named constant of the method, as the method page prints it. */
export interface MethodConstant {
  readonly name: string;
  readonly value: number;
  readonly unit: string;
  readonly meaning: string;
  readonly where: string;
}

export const METHOD_CONSTANTS: readonly MethodConstant[] = [];
