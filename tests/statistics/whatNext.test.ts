import { describe, expect, test } from 'vitest';
import { currentLevel } from '../../src/statistics/currentLevel.ts';
import { rankRecord } from '../../src/statistics/rankRecord.ts';
import { shrink } from '../../src/statistics/shrink.ts';
import { transfer } from '../../src/statistics/transfer.ts';
import { whatNext } from '../../src/statistics/whatNext.ts';

describe('shrinkage', () => {
  // Efron & Morris, J. Am. Stat. Assoc. 70 (1975) 311, table 1: hits of 18 players in their first 45 turns of 1970, and the
  // estimates printed beside them, from memory. The factor there is 1 - 0.788.
  test('18 players of 1970 are drawn in as printed', () => {
    const hits = [18, 17, 16, 15, 14, 14, 13, 12, 11, 11, 10, 10, 10, 10, 10, 9, 8, 7];
    const mean = hits.reduce((s, h) => s + h / 45, 0) / 18;
    const standardError = Math.sqrt((mean * (1 - mean)) / 45);
    const { items, centre } = shrink(hits.map((h) => ({ value: h / 45, standardError })));
    expect(centre).toBeCloseTo(0.265, 3);
    const printed = [
      0.294, 0.289, 0.285, 0.28, 0.275, 0.275, 0.27, 0.266, 0.261, 0.261, 0.256, 0.256, 0.256, 0.256, 0.256, 0.252,
      0.247, 0.242,
    ];
    items.forEach(({ value }, i) => {
      expect(Math.abs(value - printed[i]!)).toBeLessThan(0.00051);
    });
  });

  test('the more doubtful is drawn in more; three or fewer are left alone', () => {
    const { items } = shrink([1, 2, 3, 4, 10].map((value, i) => ({ value, standardError: i === 4 ? 3 : 0.3 })));
    expect(items[4]!.shrinkage).toBeGreaterThan(3 * items[0]!.shrinkage);
    expect(shrink([{ value: 5, standardError: 1 }]).items[0]).toEqual({ value: 5, sd: 1, shrinkage: 0 });
    expect(shrink([]).items).toEqual([]);
  });
});

describe('where a loss stands', () => {
  test('a level that only scatters is its mean', () => {
    const [found] = currentLevel([[0.4, 0.6, 0.5, 0.3, 0.7, 0.5]]);
    expect(found!.value).toBeCloseTo(0.5, 1);
  });

  test('a loss that was cut stands where it is now', () => {
    const cut = [0.8, 0.81, 0.79, 0.8, 0.2, 0.21, 0.2, 0.19];
    const [found] = currentLevel([cut]);
    expect(found!.value).toBeLessThan(0.3);
  });

  test('never measured is null', () => {
    expect(
      currentLevel([
        [null, null],
        [1, 1.1],
      ])[0],
    ).toBeNull();
  });
});

describe('what next', () => {
  const history = (level: number, k: number) => [0, 1, 2, 3, 4].map((s) => level + 0.03 * (((s + k) * 7) % 5) - 0.06);
  const candidates = [0.9, 0.5, 0.3, 0.2, 0.1, 0].map((level, k) => ({
    key: `corner ${k}`,
    history: history(level, k),
  }));

  test('puts the largest first, with the chances that belong to it', () => {
    const ranked = whatNext(candidates, 2, 1);
    expect(ranked.map(({ key }) => key).slice(0, 3)).toEqual(['corner 0', 'corner 1', 'corner 2']);
    expect(ranked[0]!.amongWorst).toBeGreaterThan(0.99);
    expect(ranked[0]!.real).toBeGreaterThan(0.99);
    expect(ranked.at(-1)!.real).toBeLessThan(0.9);
    expect(ranked.reduce((s, { amongWorst }) => s + amongWorst, 0)).toBeCloseTo(2, 6);
    expect(whatNext(candidates, 2, 1)).toEqual(ranked);
  });

  test('a gain that is known not to arrive moves down', () => {
    const ranked = whatNext(
      candidates.map((c, k) => (k === 0 ? { ...c, transfer: { share: 0.1, sd: 0.1 } } : c)),
      2,
      1,
    );
    expect(ranked[0]!.key).toBe('corner 1');
    expect(ranked.find(({ key }) => key === 'corner 0')).toMatchObject({ transferKnown: true });
    expect(ranked[0]!.transferKnown).toBe(false);
  });

  test('nothing measured, nothing ranked', () => {
    expect(whatNext([], 3, 1)).toEqual([]);
    expect(whatNext([{ key: 'a', history: [null] }], 3, 1)).toEqual([]);
    expect(rankRecord([], 3)).toEqual({ sessions: 0, regretS: null, lastLossRegretS: null });
  });

  test('an outlier of the last session misleads the last loss, not the rank', () => {
    const steady = Array.from({ length: 8 }, (_, k) => ({
      key: `corner ${k}`,
      history: Array.from(
        { length: 8 },
        (_unused, s) => 0.1 * k + ((s * 3 + k) % 8 === 0 ? 0.5 : 0) + 0.01 * ((s * k) % 3),
      ),
    }));
    const record = rankRecord(steady, 2);
    expect(record.sessions).toBe(5);
    expect(record.regretS!).toBeLessThan(record.lastLossRegretS!);
  });
});

describe('transfer from simulation to track', () => {
  test('is the share of the claimed seconds that arrived', () => {
    const found = transfer([
      { simulatedS: 0.2, trackS: 0.1 },
      { simulatedS: 0.4, trackS: 0.2 },
      { simulatedS: 0.1, trackS: 0.05 },
      { simulatedS: -0.1, trackS: 0.4 },
    ])!;
    expect(found).toMatchObject({ changes: 3, arrived: 3 });
    expect(found.share).toBeCloseTo(0.5, 12);
    expect(found.medianShare).toBeCloseTo(0.5, 12);
    expect(found.sd).toBeCloseTo(0, 12);
    expect(transfer([{ simulatedS: 1, trackS: 1 }])).toBeNull();
  });
});
