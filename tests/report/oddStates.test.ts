import { describe, expect, test } from 'vitest';
import { cornerReport } from '../../src/report/corner.ts';
import { frontReport } from '../../src/report/front.ts';
import { lapReport } from '../../src/report/lap.ts';
import { methodReport } from '../../src/report/method.ts';
import { problemsReport } from '../../src/report/problems.ts';
import type { Results } from '../../src/report/readResults.ts';
import type { Page } from '../../src/report/report.ts';
import { sessionReport } from '../../src/report/session.ts';
import { siteFiles } from '../../src/report/tables/siteFiles.ts';
import { even, type Made, made } from './made.ts';

// Expected: what the made campaigns hold by their making; that a page may show no number that is none.

const LONG = 'Nordöstliche Hochgeschwindigkeitserprobungsstrecke der Küstenregion 7';
const day = (i: number): string => new Date(Date.UTC(2026, 0, 5) + i * 86_400_000).toISOString().slice(0, 10);
/** Laps that differ by hundredths from cell to cell. */
const shaken = (gapS: number, lap: number): number[] =>
  even(gapS).map((g, i) => g + [0.02, -0.01, 0.03][(i + lap) % 3]!);

const STATES: Readonly<Record<string, Made>> = {
  'no session at all': { reference: false, sessions: [] },
  'no reference lap': {
    reference: false,
    sessions: [{ name: 'a', date: '2026-02-01', laps: [{ gaps: even(1) }, { gaps: even(1.2) }] }],
  },
  'one lap': { sessions: [{ name: 'a', date: '2026-02-01', laps: [{ gaps: even(1.6) }] }] },
  'only laps that are not valid': {
    sessions: [
      {
        name: 'a',
        date: '2026-02-01',
        laps: [
          { gaps: even(1), invalid: 'positions are worse than 2 m over 300 m' },
          { gaps: even(1), invalid: 'left the course at 400 m' },
        ],
      },
    ],
  },
  'one session': {
    sessions: [{ name: 'a', date: '2026-02-01', laps: [0, 1, 2].map((l) => ({ gaps: shaken(1.5, l) })) }],
    targets: [{ name: 'Within one second', due: '2026-06-01', gapS: 1, lapTimeS: null }],
  },
  '300 sessions': {
    sessions: Array.from({ length: 300 }, (_, i) => ({
      name: `${day(i)}-day`,
      date: day(i),
      stage: (['track', 'bench', 'simulation'] as const)[i % 3]!,
      controller: `1.${i}`,
      laps: [0, 1].map((l) => ({ gaps: shaken(12 - i / 30, l) })),
    })),
  },
  'long names and names of other scripts': {
    title: `${LONG} — кампания 試験走行`,
    circuit: LONG,
    corners: [
      'Große Hochgeschwindigkeitskurve am alten Leuchtturm',
      'Поворот у маяка',
      '灯台のヘアピン',
      'منعطف المنارة',
    ],
    riders: { robot: 'Автономный гонщик Северо-Западной лаборатории номер 14', human: '基準ライダー' },
    sessions: [
      {
        name: '2026-02-01 試験走行 с очень длинным именем, больше шестидесяти букв в нём',
        date: '2026-02-01',
        controller: 'эксперимент-ветка-торможение-2026-02-01-r17',
        run: '測定 Vormittag mit sehr langem Dateinamen, der umbrechen muss.csv',
        laps: [{ gaps: even(1.6) }, { gaps: even(1.7) }],
      },
      { name: '二回目', date: '2026-02-08', run: '走行.csv', laps: [{ gaps: even(1.2) }, { gaps: even(1.1) }] },
    ],
  },
  'the robot ahead': {
    sessions: [
      { name: 'a', date: '2026-02-01', laps: [{ gaps: even(0.4) }, { gaps: even(0.5) }] },
      { name: 'b', date: '2026-03-01', laps: [0, 1, 2].map((l) => ({ gaps: even(-0.8 - l / 10) })) },
    ],
  },
  'laps on both sides of the reference': {
    sessions: [{ name: 'a', date: '2026-02-01', laps: [-0.1, 0.02, 0.12].map((g) => ({ gaps: even(g) })) }],
  },
};

/** Every page of a campaign; of many laps the first few. */
function pages(results: Results): Page[] {
  return [
    frontReport(results),
    methodReport(results),
    problemsReport(results),
    ...results.sessions.slice(-3).map((s) => sessionReport(results, s)),
    ...results.sessions.slice(-3).flatMap((s) => results.laps(s).map((l) => lapReport(results, l))),
    ...results.campaign.circuits.flatMap((c) => c.corners.map((corner) => cornerReport(results, c, corner))),
  ];
}

const known = new Map<string, Results>();
/** Each is made once. */
function resultsOf(state: string): Results {
  const results = known.get(state) ?? made(STATES[state]!);
  known.set(state, results);
  return results;
}

describe.each(Object.keys(STATES))('%s', (state) => {
  const results = resultsOf(state);
  const all = pages(results);

  test('gives every page a headline, an opening and no number that is none', () => {
    for (const page of all) {
      expect(page.headline.length).toBeGreaterThan(3);
      expect(page.opening).toMatch(/[.!]$/);
      const text = JSON.stringify(page, (key, value: unknown) => (value === null && key !== '' ? undefined : value));
      expect(text).not.toMatch(/NaN|Infinity|undefined|\[object/);
    }
  });

  test('has the rows behind every table of every page, in both forms', () => {
    const files = new Set([...siteFiles(results)].map(([path]) => path));
    const links = JSON.stringify(all).matchAll(/"(?:csv|json)":"([^"]+)"/g);
    expect([...links].map((m) => m[1]!).filter((path) => !files.has(path))).toEqual([]);
  });
});

describe('the front page', () => {
  const front = (state: string) => frontReport(resultsOf(state));

  test('says that there is no session, and how to make one', () => {
    expect(front('no session at all').opening).toContain('There is no session yet');
  });
  test('gives the laps where there is no reference to compare them with', () => {
    // By making: 60 s and 1.0 or 1.2 s more, so 61.1 s in the middle.
    expect(front('no reference lap').opening).toBe(
      '2 counted laps, median 1:01.1, but no lap of the reference rider to compare with. `reference` in the campaign’s file names one.',
    );
  });
  test('gives the reasons where no lap counts', () => {
    const { headline, opening } = front('only laps that are not valid');
    expect(headline).toBe('No gap can be given yet');
    expect(opening).toContain('2 laps of the robot, none counted: positions are worse than 2 m over 300 m and left');
  });
  test('reads “ahead” where the robot is, and has nothing left to find', () => {
    const { headline, opening, remaining, nothingToFind } = front('the robot ahead');
    // By making: −0.8, −0.9 and −1.0 s, so −0.9 s in the middle.
    expect(headline).toBe('0.90\u202fs ahead');
    expect(opening).toContain('0.90\u202fs (1.5\u202f%) ahead of the reference lap');
    expect(remaining).toBeNull();
    expect(nothingToFind).toMatch(/^Nothing is lost anywhere; most is gained in/);
  });
  test('claims no gap where laps lie on both sides of the reference', () => {
    const { headline, opening, figures } = front('laps on both sides of the reference');
    expect(headline).toBe('Level with the reference, as far as these laps can tell');
    expect(opening).toContain('No loss of a single phase can be told from noise.');
    expect(figures.find(({ id }) => id === 'skyline')!.caption).toContain('not distinguishable from noise');
  });
  test('of one lap claims no range', () => {
    const { opening, figures, history } = front('one lap');
    expect(opening).toContain('One flying lap, 1:01.6');
    expect(figures[0]!.caption).not.toMatch(/over 1 lap|\d to \d/);
    expect(history).toBeNull();
  });
  test('of 300 sessions shows the latest and keeps all within reach', () => {
    const results = resultsOf('300 sessions');
    const report = frontReport(results);
    expect(report.history!.table.rows).toHaveLength(24);
    const listed = [...report.sessions.rows, ...(report.earlier?.rows ?? [])];
    expect(listed).toHaveLength(301);
    const files = new Map(siteFiles(results));
    expect(files.get('tables/index/matrix-ring.csv')!.trimEnd().split('\n')).toHaveLength(301);
  });
});
