import { describe, expect, test } from 'vitest';
import { GAUSS_WEIGHTS, gaussLegendre } from '../../src/numbers/quadrature.ts';

describe('five-point Gauss–Legendre rule', () => {
  test('polynomials up to degree nine are integrated exactly, degree ten is not', () => {
    for (let degree = 0; degree <= 9; degree++) {
      // Integral of x^k from 1 to 3.
      const exact = (3 ** (degree + 1) - 1) / (degree + 1);
      expect(gaussLegendre((x) => x ** degree, 1, 3) / exact).toBeCloseTo(1, 13);
    }
    expect(Math.abs(gaussLegendre((x) => x ** 10, 1, 3) / ((3 ** 11 - 1) / 11) - 1)).toBeGreaterThan(1e-9);
  });

  test('the weights are a share of the whole', () => {
    expect(GAUSS_WEIGHTS.reduce((sum, weight) => sum + weight, 0)).toBeCloseTo(1, 15);
  });
});
