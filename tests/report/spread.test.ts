import fc from 'fast-check';
import { expect, test } from 'vitest';
import { spread } from '../../src/report/figures/spread.ts';

const wishes = fc
  .array(
    fc.record({ at: fc.double({ min: 0, max: 900, noNaN: true }), width: fc.double({ min: 4, max: 40, noNaN: true }) }),
    { maxLength: 20 },
  )
  .map((list) => [...list].sort((a, b) => a.at - b.at));

test('labels keep their order and never overlap', () => {
  fc.assert(
    fc.property(wishes, (list) => {
      const middles = spread(list, 0, 900);
      middles.slice(1).forEach((x, i) => {
        expect(x - middles[i]!).toBeGreaterThanOrEqual((list[i]!.width + list[i + 1]!.width) / 2 - 1e-6);
      });
    }),
  );
});

test('labels that have room stay where they want to be', () => {
  expect(
    spread(
      [
        { at: 100, width: 20 },
        { at: 200, width: 20 },
      ],
      0,
      900,
    ),
  ).toEqual([100, 200]);
});

test('two labels at one place part by half their widths each', () => {
  expect(
    spread(
      [
        { at: 100, width: 20 },
        { at: 100, width: 20 },
      ],
      0,
      900,
    ),
  ).toEqual([90, 110]);
});

test('labels stay between the limits where they fit', () => {
  fc.assert(
    fc.property(wishes, (list) => {
      fc.pre(list.length > 0 && list.reduce((s, w) => s + w.width, 0) < 880);
      const middles = spread(list, 0, 900);
      middles.forEach((x, i) => {
        expect(x - list[i]!.width / 2).toBeGreaterThanOrEqual(-1e-6);
        expect(x + list[i]!.width / 2).toBeLessThanOrEqual(900 + 1e-6);
      });
    }),
  );
});
