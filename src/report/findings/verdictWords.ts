import type { Against, ComparisonFound, LossFound } from '../../campaign/findings/schema.ts';
import type { Cell } from '../report.ts';
import { listWords, MISSING, percent, plural, seconds, signed } from '../words.ts';

/** Differences of medians over a few laps have hundredths at most. */
const DIGITS = 2;

export const VERDICTS = {
  real: 'real',
  'within these sessions only': 'in these sessions only',
  'cannot tell': 'cannot tell',
  'too few': 'too few laps',
} as const satisfies Record<ComparisonFound['verdict'], string>;

/** What the four verdicts mean, for under a table. */
export const VERDICT_NOTE =
  'Real: seen between days, or between versions that took turns within one. In these sessions only: the laps differ, but so do days by themselves. In this session: laps of one day all say so, another day may not. Cannot tell: the last column is the smallest change that would have been seen in four of five repetitions. Intervals are at the level that the number of laps allows.';

type Interval = ComparisonFound['interval'];

/** `−2.10 to −1.22 (95 %)`; empty where there is none. */
export const intervalWords = (interval: Interval): string =>
  interval ? `${signed(interval.lowS, DIGITS)} to ${signed(interval.highS, DIGITS)} (${percent(interval.level)})` : '';

/** Of a change that rounds to nothing. */
export const SAME = 'the same';

/** `1.69 s less`, `0.12 s more`, or `the same` where it rounds to nothing. */
export function changeWords(changeS: number | null): string {
  if (changeS === null) return MISSING;
  if (Number(Math.abs(changeS).toFixed(DIGITS)) === 0) return SAME;
  return `${seconds(Math.abs(changeS), null, DIGITS)} ${changeS < 0 ? 'less' : 'more'}`;
}

/** How many laps stand against how many, and of how many days where there are several. */
export function sampleWords({ before, after }: Pick<ComparisonFound, 'before' | 'after'>): string {
  const days = before.days > 1 || after.days > 1 ? `, days ${after.days} against ${before.days}` : '';
  return `${plural(after.laps, 'lap')} against ${before.laps}${days}`;
}

/** Whether a change is real, with what it rests on: `real (95 % interval …; 8 laps against 3)`. */
export function verdictWords(found: ComparisonFound): string {
  const { verdict, interval, detectableS } = found;
  const rests = `${interval ? `${percent(interval.level)} interval ${signed(interval.lowS, DIGITS)} to ${signed(interval.highS, DIGITS)}\u202fs, ` : ''}${sampleWords(found)}`;
  const least = detectableS === null ? '' : `; a change of ${seconds(detectableS, null, DIGITS)} would mostly be seen`;
  return `${shortVerdict(found)} (${rests}${verdict === 'cannot tell' || verdict === 'too few' ? least : ''})`;
}

/** The same for where the numbers behind it stand elsewhere. */
export const shortVerdict = ({ verdict }: Pick<ComparisonFound, 'verdict'>): string =>
  ({
    real: 'real',
    'within these sessions only': 'not known to be real, one day against another',
    'cannot tell': 'not distinguishable from noise',
    'too few': 'too few laps to tell',
  })[verdict];

/** What a session is compared with. */
export function againstWords({ kind, with: other, of, words }: Against): string {
  switch (kind) {
    case 'session before':
      return `Against ${other[0]}`;
    case 'best known':
      return `Against the best before, ${other.length > 1 ? `${words.split(' against ')[1]} on ${plural(other.length, 'day')}` : other[0]}`;
    case 'version before':
      return `Version ${words}, over ${plural(of.length, 'session')} against ${other.length},`;
    case 'configuration before':
      return `Within the day, ${words},`;
  }
}

/** A change as a cell of a table, in grey where it cannot be told from noise. */
export function changeCell({ changeS, interval, verdict }: ComparisonFound): Cell {
  if (changeS === null) return { text: MISSING, tone: 'quiet' };
  const aside = intervalWords(interval);
  const noise = verdict === 'cannot tell' || verdict === 'too few';
  return {
    text: signed(changeS, DIGITS),
    tone: noise ? 'noise' : changeS > 0 ? 'loss' : 'gain',
    ...(aside ? { aside } : {}),
  };
}

/** A loss as a cell of a table. */
export function lossCell({ lossS, interval, verdict }: LossFound): Cell {
  if (lossS === null) return { text: MISSING, tone: 'quiet' };
  const aside = intervalWords(interval);
  const noise = verdict === 'cannot tell' || verdict === 'too few';
  return {
    text: signed(lossS, DIGITS),
    tone: noise ? 'noise' : lossS > 0 ? 'loss' : 'gain',
    ...(aside ? { aside } : {}),
  };
}

/** A verdict as a cell. */
export const verdictCell = ({ verdict }: Pick<ComparisonFound, 'verdict'>): Cell => ({
  text: VERDICTS[verdict],
  ...(verdict === 'real'
    ? { tone: 'strong' as const }
    : verdict === 'within these sessions only'
      ? {}
      : { tone: 'noise' as const }),
});

/** The same of a loss, which one session may show by itself. */
export const lossVerdictCell = (found: Pick<LossFound, 'verdict'>): Cell =>
  found.verdict === 'within these sessions only' ? { text: 'in this session' } : verdictCell(found);

/** The smallest change that would have been seen. */
export const detectableCell = ({ detectableS }: Pick<ComparisonFound, 'detectableS'>): Cell =>
  detectableS === null
    ? { text: MISSING, tone: 'quiet' }
    : { text: seconds(detectableS, null, DIGITS).replace('\u202fs', '') };

const AMOUNTS: Readonly<Record<string, (value: number) => string>> = {
  'track temperature': (kelvin) => `${(kelvin - 273.15).toFixed(0)}\u202f°C`,
  'air temperature': (kelvin) => `${(kelvin - 273.15).toFixed(0)}\u202f°C`,
  wind: (mps) => `${mps.toFixed(0)}\u202fm/s`,
  fuel: (kg) => `${kg.toFixed(0)}\u202fkg`,
};

/** Winds that differ by less in strength differ by where they came from, m/s. */
const WIND_MPS = 2;

/** What else changed between the two sides, and what nobody noted; empty where the records rule everything out. */
export function confounderWords(confounders: Against['confounders']): string {
  const value = (what: string, given: string | number | null): string =>
    given === null ? 'not noted' : typeof given === 'number' ? (AMOUNTS[what]?.(given) ?? String(given)) : given;
  const changed = confounders
    .filter(({ change }) => change === 'changed')
    .map(({ what, before, after }) => {
      const turned = what === 'wind' && Math.abs(Number(after) - Number(before)) < WIND_MPS;
      return turned ? 'wind turned' : `${what} ${value(what, before)} to ${value(what, after)}`;
    });
  const unknown = confounders.filter(({ change }) => change === 'not noted').map(({ what }) => what);
  return [...changed, ...(unknown.length > 0 ? [`${listWords(unknown)} not noted`] : [])].join('; ');
}
