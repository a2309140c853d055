import { describe, expect, test } from 'vitest';
import { cumulativeTrapezoid, linearAt, linearMany, unwrap } from '../../src/numbers/interpolate.ts';
import { readCheck, withReference } from '../reference/folder.ts';

// The Butterworth and lag cases of the file do not apply: no such filter or correlation is part of this folder.
withReference('signal steps: c-interp/signal-helpers.json', () => {
  const check = readCheck<Record<string, number[]>, Record<string, number[]>>('c-interp/signal-helpers.json');
  const find = (kind: string) => check.cases.filter((one) => one.kind?.startsWith(kind));
  const list = (values: number[] | undefined) => Float64Array.from(values!);
  const agree = (got: Float64Array, expected: number[] | undefined) => {
    expect(got.length).toBe(expected!.length);
    for (const [i, value] of expected!.entries()) expect(Math.abs(got[i]! - value)).toBeLessThan(check.tolerance.abs!);
  };
  test.each(find('unwrap'))('$id: headings are unwrapped', ({ in: { heading_rad }, out: { unwrapped_rad } }) => {
    agree(unwrap(list(heading_rad)), unwrapped_rad);
  });
  test.each(find('cumulative'))('$id: the running integral agrees', ({ in: { x, y }, out: { integral } }) => {
    agree(cumulativeTrapezoid(list(x), list(y)), integral);
  });
  test.each(find('linear'))('$id: values agree and hold at the ends', ({ in: input, out: { y: expected } }) => {
    const [x, y, xq] = ['x', 'y', 'xq'].map((name) => list(input[name])) as [Float64Array, Float64Array, Float64Array];
    agree(linearMany(x, y, xq), expected);
    agree(
      xq.map((place) => linearAt(x, y, place)),
      expected,
    );
  });
});

describe('steps on arrays', () => {
  test('straight lines meet the values at the knots and the middle between', () => {
    const x = Float64Array.of(0, 2, 6);
    const y = Float64Array.of(1, 5, -3);
    expect(linearAt(x, y, 1)).toBe(3);
    expect(linearAt(x, y, 4)).toBe(1);
    expect([...linearMany(x, y, Float64Array.of(-1, 0, 1, 2, 4, 6, 9))]).toEqual([1, 1, 3, 5, 1, -3, -3]);
  });

  test('a missing value spoils the two intervals beside it and not the knots', () => {
    const x = Float64Array.of(0, 1, 2, 3);
    const y = Float64Array.of(0, 1, Number.NaN, 3);
    expect([...linearMany(x, y, Float64Array.of(0.5, 1, 1.5, 2.5, 3))]).toEqual([0.5, 1, Number.NaN, Number.NaN, 3]);
    expect(linearAt(x, y, 1)).toBe(1);
  });

  test('an empty table has no values', () => {
    const none = new Float64Array(0);
    expect(linearAt(none, none, 1)).toBeNaN();
    expect([...linearMany(none, none, Float64Array.of(1))]).toEqual([Number.NaN]);
  });

  test('unwrapping keeps turns through a missing angle', () => {
    const turned = unwrap(Float64Array.of(3, -3, Number.NaN, 3, 2));
    expect(turned[1]).toBeCloseTo(2 * Math.PI - 3, 12);
    expect(turned[2]).toBeNaN();
    expect(turned[3]).toBe(3);
    expect(turned[4]).toBe(2);
  });
});
