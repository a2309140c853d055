import type { SessionResult } from '../../campaign/results.ts';
import { GROUPS } from '../../causes/cause.ts';
import { CAUSES } from '../../causes/list.ts';
import { cornerWords } from '../cells.ts';
import { MEDIAN_DIGITS } from '../medians.ts';
import { cornerPath, sessionPath, tableLinks } from '../paths.ts';
import type { Results } from '../readResults.ts';
import type { Table } from '../report.ts';
import { type Summary, summary } from '../summary.ts';
import { number, plural, sentence } from '../words.ts';
import { finding } from './finding.ts';
import { CAUSE_TITLES, GROUP_TITLES, REFUSALS } from './names.ts';
import { groupLine, isNoise, type Told, toldOf } from './told.ts';

interface Ranked {
  readonly corner: string;
  readonly title: string;
  readonly range: Summary;
  readonly slowerLaps: number;
  /** The same line of the median lap, which has an interval. */
  readonly line: Told | null;
  /** What that lap did otherwise, in words; else why that is not told. */
  readonly words: string;
}

/** Whether causes are listed one by one where the laps tell them apart, or always their groups. */
export type By = 'cause' | 'group';

/** Below this no cause is listed, s. */
const LEAST_S = 0.01;

/**
 * What is left to find in a session by cause, largest median over the counted laps first. Where the median lap or most
 * laps do not tell the causes of a group apart, the group stands in their place.
 */
function ranked(results: Results, session: SessionResult, by: By): Ranked[] {
  const laps = results.laps(session).flatMap(({ lap, speaks }) => (speaks && lap.causes ? [lap.causes] : []));
  const middle = session.summary && results.lap(session.summary.medianLap)?.lap.causes;
  if (!middle) return [];
  const found = middle.windows.flatMap((window): Ranked[] => {
    const same = laps.flatMap((lap) => lap.windows.filter((w) => w.corner === window.corner && w.part === window.part));
    const told = same.map(toldOf);
    const own = toldOf(window);
    return GROUPS.filter((group) => group !== 'residual').flatMap((group): Ranked[] => {
      const reasons = told.map((lines) => lines.find((l) => l.group === group && l.why)?.why ?? null);
      const most = reasons.filter((why) => why !== null);
      const why =
        own.find((l) => l.group === group && l.why)?.why ?? (2 * most.length > reasons.length ? most[0]! : null);
      const row = (title: string, made: readonly number[], line: Told | null, words: string): Ranked[] => {
        const range = summary(made);
        return range
          ? [{ corner: window.corner, title, range, slowerLaps: made.filter((s) => s > 0).length, line, words }]
          : [];
      };
      if (why !== null || by === 'group')
        return row(
          GROUP_TITLES[group],
          same.map((w) => w.groups.find((g) => g.group === group)?.madeS ?? 0),
          groupLine(window, group),
          why === null ? largestFindings(own.filter((l) => l.group === group)) : REFUSALS[why].short,
        );
      return CAUSES.filter((cause) => cause.group === group).flatMap(({ key }) => {
        const line = own.find((l) => l.key === key) ?? null;
        return row(
          CAUSE_TITLES[key],
          same.map((w) => w.causes.find(({ cause }) => cause === key)?.madeS ?? 0),
          line,
          (line && finding(line)) ?? '',
        );
      });
    });
  });
  return found.toSorted((x, y) => y.range.median - x.range.median);
}

/** What of a group differed most, in words; its causes by name where there is nothing better to say. */
function largestFindings(lines: readonly Told[]): string {
  const lost = lines.filter((l) => l.gapS > LEAST_S).toSorted((x, y) => y.gapS - x.gapS);
  return lost
    .slice(0, 2)
    .map((line) => finding(line) ?? line.title)
    .join('; ');
}

/** Whether laps, or the doubt of the one lap there is, reach across zero. */
const uncertain = ({ range, line }: Ranked): boolean => (range.n > 1 ? range.low < 0 : line !== null && isNoise(line));

/** The largest losses of a session by corner and cause; null where no lap was split. */
export function rankedCauses(results: Results, session: SessionResult, most: number, by: By = 'cause'): Table | null {
  const rows = ranked(results, session, by)
    .filter((row) => row.range.median > LEAST_S && !uncertain(row))
    .slice(0, most);
  const laps = session.summary?.laps ?? 0;
  if (rows.length === 0) return null;
  const digits = MEDIAN_DIGITS;
  return {
    id: 'by-cause',
    caption: `The ${rows.length} largest losses of ${session.session} by cause, median of ${plural(laps, 'counted lap')}`,
    columns: [
      { title: 'cause', kind: 'text' },
      { title: 'lost', unit: 's', kind: 'number' },
      { title: 'range', unit: 's', kind: 'number' },
      { title: 'slower in', unit: 'laps', kind: 'number' },
      { title: 'the robot, on the median lap …', kind: 'text' },
    ],
    rows: rows.map(({ corner, title, range, slowerLaps, words }) => [
      { text: `${sentence(title)}, ${cornerWords(corner)}`, href: cornerPath(session.circuit, corner) },
      { text: number(range.median, digits), tone: 'strong' },
      { text: range.n > 1 ? `${number(range.low, digits)} to ${number(range.high, digits)}` : 'one lap' },
      { text: `${slowerLaps} of ${range.n}` },
      { text: words },
    ]),
    ...tableLinks(sessionPath(session.session), 'causes'),
    note: 'A loss counts where it was made, with what its missing speed costs further on. Medians do not add up; noise is left out.',
  };
}
