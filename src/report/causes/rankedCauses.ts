import type { SessionResult } from '../../campaign/results.ts';
import { GROUPS, type GroupKey } from '../../causes/cause.ts';
import { CAUSES, type CauseKey } from '../../causes/list.ts';
import type { Refusal } from '../../causes/schema.ts';
import { cornerWords } from '../cells.ts';
import { MEDIAN_DIGITS } from '../medians.ts';
import { cornerPath, sessionPath, tableLinks } from '../paths.ts';
import type { Results } from '../readResults.ts';
import type { Table } from '../report.ts';
import { type Summary, summary } from '../summary.ts';
import { number, plural, sentence } from '../words.ts';
import { finding } from './finding.ts';
import { CAUSE_TITLES, GROUP_TITLES, REFUSALS } from './names.ts';
import { isNoise, type Told, toldOf } from './told.ts';

interface Ranked {
  readonly corner: string;
  readonly title: string;
  readonly range: Summary;
  readonly slowerLaps: number;
  /** The same line of the median lap, which has an interval. */
  readonly line: Told | null;
  readonly why: Refusal | null;
}

/** Below this no cause is listed, s. */
const LEAST_S = 0.01;

/**
 * What is left to find in a session by cause, largest median over the counted laps first. Where the median lap or most
 * laps do not tell the causes of a group apart, the group stands in their place.
 */
function ranked(results: Results, session: SessionResult): Ranked[] {
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
      const row = (key: CauseKey | GroupKey, title: string, made: readonly number[]): Ranked[] => {
        const range = summary(made);
        if (!range) return [];
        const line = own.find((l) => l.key === key) ?? null;
        return [{ corner: window.corner, title, range, slowerLaps: made.filter((s) => s > 0).length, line, why }];
      };
      if (why !== null)
        return row(
          group,
          GROUP_TITLES[group],
          same.map((w) => w.groups.find((g) => g.group === group)?.madeS ?? 0),
        );
      return CAUSES.filter((cause) => cause.group === group).flatMap(({ key }) =>
        row(
          key,
          CAUSE_TITLES[key],
          same.map((w) => w.causes.find(({ cause }) => cause === key)?.madeS ?? 0),
        ),
      );
    });
  });
  return found.toSorted((x, y) => y.range.median - x.range.median);
}

/** Whether laps, or the doubt of the one lap there is, reach across zero. */
const uncertain = ({ range, line }: Ranked): boolean => (range.n > 1 ? range.low < 0 : line !== null && isNoise(line));

/** The largest losses of a session by cause; null where no lap was split. */
export function rankedCauses(results: Results, session: SessionResult, most: number): Table | null {
  const rows = ranked(results, session)
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
      { title: 'slower in', kind: 'text' },
      { title: 'the robot …', kind: 'text' },
    ],
    rows: rows.map(({ corner, title, range, slowerLaps, line, why }) => [
      { text: `${sentence(title)}, ${cornerWords(corner)}`, href: cornerPath(session.circuit, corner) },
      { text: number(range.median, digits), tone: 'strong' },
      { text: range.n > 1 ? `${number(range.low, digits)} to ${number(range.high, digits)}` : 'one lap' },
      { text: `${slowerLaps} of ${plural(range.n, 'lap')}` },
      { text: (line && finding(line)) ?? (why ? REFUSALS[why].short : '') },
    ]),
    ...tableLinks(sessionPath(session.session), 'causes'),
    note: 'A loss counts where it was made, with what its missing speed costs further on. What the robot did is of the median lap. Medians of causes need not add up to the median gap; what is not told from noise is left out.',
  };
}
