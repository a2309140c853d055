import { type DayPlan, dayPlan } from '../statistics/dayPlan.ts';
import { pageOf } from './pageOf.ts';
import { tableLinks, testDayPath } from './paths.ts';
import type { Results } from './readResults.ts';
import type { Cell, Page, Table } from './report.ts';
import { MISSING, number, plural, seconds } from './words.ts';

/** A plan for the next day on the track, to be printed. */
export interface TestDayReport extends Page {
  readonly kind: 'test-day';
  /** How many laps of each version a difference takes. */
  readonly needs: readonly Table[];
  /** What the numbers stand on. */
  readonly assumed: readonly string[];
  readonly rules: readonly string[];
  /** Sheets to fill in on the day: the order of the runs. */
  readonly sheets: readonly Table[];
}

/** Differences between versions that one may want to see, s. */
export const EFFECTS_S = [0.1, 0.2, 0.3, 0.5, 0.8, 1.2];
/** Runs that a day on the track has room for. */
export const MOST_RUNS = 16;
/** Taken where no laps tell yet. */
const ASSUMED_LAP_S = 0.25;
const ASSUMED_LAPS = 4;

const names = (n: number): string[] => ['A', 'B', 'C'].slice(0, n);

/** Plans for some versions on the scatter that the campaign has shown. */
export function plansOf(results: Results): {
  readonly lapS: number;
  readonly runS: number;
  readonly dayS: number | null;
  readonly lapsPerRun: number;
  readonly measured: boolean;
  readonly plans: readonly { versions: number; effectS: number; plan: DayPlan }[];
} {
  const found = results.campaign.findings.circuits.toSorted((a, b) => b.progress.length - a.progress.length)[0];
  const spread = found?.spread;
  const lapS = spread?.lapS ?? ASSUMED_LAP_S;
  const runS = spread?.runS ?? 0;
  const lapsPerRun = Math.max(1, Math.round(spread?.lapsPerRun ?? ASSUMED_LAPS));
  return {
    lapS,
    runS,
    dayS: spread?.dayS ?? null,
    lapsPerRun,
    measured: spread?.lapS !== null && spread?.lapS !== undefined,
    plans: [2, 3].flatMap((versions) =>
      EFFECTS_S.map((effectS) => ({
        versions,
        effectS,
        plan: dayPlan({ effectS, versions: names(versions), lapS, runS, lapsPerRun, mostRuns: MOST_RUNS }),
      })),
    ),
  };
}

/** Everything the page of the plan says. */
export function testDayReport(results: Results): TestDayReport {
  const { lapS, runS, dayS, lapsPerRun, measured, plans } = plansOf(results);
  const two = plans.filter((p) => p.versions === 2);
  const least = two.find(({ plan }) => plan.runsPerVersion !== null);
  const best = two.find(({ effectS, plan }) => effectS >= 0.3 && plan.runsPerVersion !== null) ?? least;
  return {
    kind: 'test-day',
    ...pageOf(results, {
      path: testDayPath,
      name: 'plan for a test day',
      kicker: [{ text: 'Plan for the test day' }],
      headline: best
        ? `${plural(best.plan.lapsPerVersion, 'lap')} of each version show ${seconds(best.effectS, null, 1)}`
        : 'One day is too short to tell two versions apart',
      opening: `${best ? `Two versions that take turns, ${plural(best.plan.runsPerVersion!, 'run')} of ${plural(lapsPerRun, 'lap')} each, in the order ${best.plan.order.join(' ')}: a difference of ${seconds(best.effectS, null, 1)} between them is then seen in four of five such days. ` : ''}Ridden one after the other instead of in turns, no number of laps makes a difference real, because tyres, fuel and weather change over the day as well.`,
    }),
    needs: [2, 3].map((versions) => needsTable(versions, plans)),
    assumed: [
      measured
        ? `Laps of one run scatter by ${seconds(lapS, null, 2)} (standard deviation, over the sessions on the track)${runS > 0 ? `, runs of a day by ${seconds(runS, null, 2)} beyond that` : '; runs of one day by no more than their laps explain'}.`
        : `No run of this campaign tells yet how laps scatter: ${seconds(lapS, null, 2)} is assumed.`,
      dayS === null
        ? 'How much days differ is not known: no version was ridden on two days. Until it is, a difference between two days cannot be called real.'
        : `Days with one version differ by ${seconds(dayS, null, 2)} beyond that: two days with different versions that differ by less tell nothing.`,
      `Runs of ${plural(lapsPerRun, 'lap')}, room for ${MOST_RUNS} runs. Seen means: in four of five such days, with one false alarm in twenty where there is no difference.`,
    ],
    rules: [
      'Keep the order. It is made so that tyres, fuel and temperature, as far as they drift steadily, weigh on all versions alike.',
      'Change nothing but the version: same tyres, same limits, fuel topped up to the same mass before each run.',
      'Note tyres, track and air temperature, wind and fuel for each run. What is not noted cannot be ruled out afterwards.',
      'A run that is broken off is ridden again at once, before the next version.',
      'The best lap decides nothing: with more laps it gets better by itself.',
    ],
    sheets: [...(best ? [sheet(best.plan, lapsPerRun, 2)] : []), ...threeSheet(plans, lapsPerRun)],
  };
}

type Plans = ReturnType<typeof plansOf>['plans'];

function threeSheet(plans: Plans, lapsPerRun: number): Table[] {
  const three = plans.find(({ versions, plan }) => versions === 3 && plan.runsPerVersion !== null);
  return three ? [sheet(three.plan, lapsPerRun, 3)] : [];
}

function needsTable(versions: number, plans: Plans): Table {
  return {
    id: `needs-${versions}`,
    caption: `${versions === 2 ? 'Two' : 'Three'} versions: laps of each that a difference takes`,
    columns: [
      { title: 'difference', unit: 's', kind: 'number' },
      { title: 'runs of each', kind: 'number' },
      { title: 'laps of each', kind: 'number' },
      { title: 'seen from', unit: 's', kind: 'number' },
      { title: 'order of the runs', kind: 'text' },
    ],
    rows: plans
      .filter((p) => p.versions === versions)
      .map(({ effectS, plan }): Cell[] =>
        plan.runsPerVersion === null
          ? [
              { text: number(effectS, 1) },
              { text: MISSING, tone: 'quiet' },
              { text: MISSING, tone: 'quiet' },
              { text: plan.detectableS === null ? MISSING : number(plan.detectableS, 2), tone: 'quiet' },
              {
                text:
                  plan.lapsPerRunNeeded === null
                    ? 'not in one day'
                    : `not with these runs; runs of ${plural(plan.lapsPerRunNeeded, 'lap')} would do`,
                tone: 'noise',
              },
            ]
          : [
              { text: number(effectS, 1) },
              { text: String(plan.runsPerVersion) },
              { text: String(plan.lapsPerVersion), tone: 'strong' },
              { text: number(plan.detectableS, 2) },
              { text: plan.order.join(' ') },
            ],
      ),
    note: 'Seen from: the smallest difference that so many laps show in four of five days.',
    ...tableLinks(testDayPath, `needs-${versions}`),
  };
}

function sheet(plan: DayPlan, lapsPerRun: number, versions: number): Table {
  return {
    id: `sheet-${versions}`,
    caption: `Sheet for the day, ${versions === 2 ? 'two' : 'three'} versions: ${plural(plan.order.length, 'run')} of ${plural(lapsPerRun, 'lap')}`,
    columns: [
      { title: 'run', kind: 'text' },
      { title: 'version', kind: 'text' },
      { title: 'start', kind: 'text' },
      { title: 'laps', kind: 'text' },
      { title: 'tyres', kind: 'text' },
      { title: 'fuel, kg', kind: 'text' },
      { title: 'track, °C', kind: 'text' },
      { title: 'wind, m/s from', kind: 'text' },
      { title: 'remarks', kind: 'text' },
    ],
    rows: plan.order.map((version, i): Cell[] => [
      { text: String(i + 1) },
      { text: version, tone: 'strong' },
      ...Array.from({ length: 7 }, (): Cell => ({ text: '' })),
    ]),
    ...tableLinks(testDayPath, `sheet-${versions}`),
  };
}
