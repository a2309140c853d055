import { readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import { conformity } from '../../src/statistics/conformity.ts';
import { level } from '../../src/statistics/level.ts';

interface Case {
  readonly name: string;
  readonly value: number;
  readonly standardError: number;
  readonly df: number | null;
  readonly limit: number;
  readonly risk: number;
  readonly chance: number;
  readonly guard: number;
  readonly verdict: string;
}
interface LevelCase {
  readonly days: readonly (readonly number[])[];
  readonly systematic: number;
  readonly value: number;
  readonly standardError: number;
  readonly df: number;
}

// Source: worked out with SciPy; how stands in the file.
const { cases, levels } = JSON.parse(readFileSync(new URL('conformity.json', import.meta.url), 'utf8')) as {
  cases: Case[];
  levels: LevelCase[];
};

describe('guarded acceptance', () => {
  test('there are cases at the limit, inside and outside of the guard band, and of every verdict', () => {
    expect(new Set(cases.map((c) => c.verdict)).size).toBe(4);
    expect(cases.length).toBeGreaterThan(100);
  });

  test.each(cases.map((c) => [c.name, c] as const))('%s', (_, c) => {
    const found = conformity(
      { value: c.value, standardError: c.standardError, df: c.df ?? Number.POSITIVE_INFINITY },
      c.limit,
      c.risk,
    );
    expect(found.verdict).toBe(c.verdict);
    expect(found.chance).toBeCloseTo(c.chance, 9);
    expect(found.guard).toBeCloseTo(c.guard, 9);
    expect(found.acceptance).toBeCloseTo(c.limit - c.guard, 9);
  });

  test('a value at the limit has an even chance, so a plain comparison would be wrong every other time', () => {
    const found = conformity({ value: 5, standardError: 0.2, df: 4 }, 5, 0.05);
    expect(found).toMatchObject({ verdict: 'met, not beyond doubt', chance: 0.5 });
  });

  test('without uncertainty the limit decides', () => {
    const at = (value: number) => conformity({ value, standardError: 0, df: Number.POSITIVE_INFINITY }, 5, 0.05);
    expect(at(5)).toMatchObject({ verdict: 'met', chance: 1, guard: 0 });
    expect(at(5.001)).toMatchObject({ verdict: 'missed', chance: 0 });
  });
});

describe('the level of laps', () => {
  const runs = (days: LevelCase['days']) =>
    days.map((values, i) => ({ session: `d${i}`, day: `d${i}`, order: 0, values }));

  test.each(levels.map((l) => [l.days.length, l] as const))(
    'over %i day(s)',
    (_, { days, systematic, ...expected }) => {
      const found = level(runs(days), systematic)!;
      expect(found.value).toBeCloseTo(expected.value, 12);
      expect(found.standardError).toBeCloseTo(expected.standardError, 12);
      expect(found.df).toBeCloseTo(expected.df, 9);
    },
  );

  test('two laps have no level', () => {
    expect(level(runs([[1, 2]]))).toBeNull();
  });

  // The rule is replayed on laps from a plain congruential generator, with the true level at the limit: about one in twenty
  // may pass.
  test('a robot at its limit passes no more often than the risk says', () => {
    let state = 12345;
    const uniform = (): number => {
      state = (state * 1103515245 + 12345) % 2147483648;
      return (state + 0.5) / 2147483648;
    };
    const normal = (): number => Math.sqrt(-2 * Math.log(uniform())) * Math.cos(2 * Math.PI * uniform());
    let passed = 0;
    const times = 4000;
    for (let i = 0; i < times; i++) {
      const found = level(runs([Array.from({ length: 5 }, () => 5 + 0.2 * normal())]))!;
      if (conformity(found, 5, 0.05).verdict === 'met') passed++;
    }
    expect(passed / times).toBeLessThan(0.06);
    expect(passed / times).toBeGreaterThan(0.03);
  });
});
