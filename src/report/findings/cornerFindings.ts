import type { CircuitView, MapCorner } from '../../campaign/results.ts';
import { cornerWords } from '../cells.ts';
import { cornerPath, sessionPath, tableLinks } from '../paths.ts';
import type { Results } from '../readResults.ts';
import type { Cell, Table } from '../report.ts';
import { listWords, MISSING, number, plural, seconds, signed } from '../words.ts';
import { bandWords } from './bandWords.ts';
import { beforeOf, foundOf, foundOn } from './found.ts';
import { chanceWords } from './nextTable.ts';
import { stepWords } from './stepWords.ts';
import {
  changeCell,
  changeWords,
  confounderWords,
  detectableCell,
  lossCell,
  lossVerdictCell,
  VERDICT_NOTE,
  verdictCell,
  verdictWords,
} from './verdictWords.ts';

/** Real or noise: what the page of a corner says. */
export interface CornerVerdicts {
  /** About the session that speaks for now, for the opening; empty where nothing compares. */
  readonly now: string;
  readonly sentences: readonly string[];
  readonly table: Table | null;
}

/** @param most rows of the table, the latest */
export function cornerVerdicts(
  results: Results,
  circuit: CircuitView,
  corner: MapCorner,
  most: number,
): CornerVerdicts {
  const found = foundOn(results, circuit.id);
  if (!found) return { now: '', sentences: [], table: null };
  const sessions = results.campaign.findings.sessions.flatMap((s) => {
    const own = results.session(s.session);
    const loss = s.corners.find((c) => c.corner === corner.name);
    if (own?.circuit !== circuit.id || !loss) return [];
    const before = beforeOf(s);
    return [{ ...s, loss, before, change: before?.corners.find((c) => c.corner === corner.name) }];
  });
  const last = sessions.findLast(({ progress }) => progress);
  const now = !last?.change
    ? last
      ? `The loss is ${lossWords(last.loss)}.`
      : ''
    : `The loss is ${lossWords(last.loss)}; against ${last.before!.with[0]} it is ${changeWords(last.change.changeS)}: ${verdictWords(last.change)}.`;
  const sentences: string[] = [];
  const mine = found.next.filter((item) => item.corner === corner.name && item.remainingS > 0.005);
  if (mine.length > 0)
    sentences.push(
      `Left to find here, from all sessions on the track: ${listWords(
        mine.map(
          (item) =>
            `${item.phase} ${number(item.remainingS, 2)}\u202fs (among the ${found.worst} largest of the circuit with a probability of ${chanceWords(item.amongWorst)})`,
        ),
      )}.`,
    );
  for (const step of found.steps.filter((s) => s.corner === corner.name)) sentences.push(stepWords(step));
  const band = last && foundOf(results, last.session)?.band?.corners.find((c) => c.corner === corner.name);
  const inBand = band ? bandWords(band, `On ${last.session} the median of ${cornerWords(corner.name)}`) : '';
  if (inBand) sentences.push(inBand);
  return { now, sentences, table: table() };

  function table(): Table | null {
    const listed = sessions.slice(-most).reverse();
    if (listed.length === 0) return null;
    return {
      id: 'verdicts',
      caption: `Is there a loss in ${cornerWords(corner.name)}, and did it change since the session of that stage before`,
      columns: [
        { title: 'session', kind: 'text' },
        { title: 'laps', kind: 'number' },
        { title: 'loss', unit: 's', kind: 'number' },
        { title: 'loss real?', kind: 'text' },
        { title: 'change', unit: 's', kind: 'number' },
        { title: 'changed?', kind: 'text' },
        { title: 'would be seen', unit: 's', kind: 'number' },
        { title: 'what else changed', kind: 'text' },
      ],
      rows: listed.map(({ session, why, loss, change, before }): Cell[] => [
        {
          text: session,
          href: sessionPath(session),
          ...(why ? { aside: why.replace(/^an? /, '').replace(/,.*/, '') } : {}),
        },
        { text: String(loss.laps), ...(change ? { aside: `against ${change.before.laps}` } : {}) },
        lossCell(loss),
        lossVerdictCell(loss),
        change ? changeCell(change) : { text: MISSING, tone: 'quiet' },
        change ? verdictCell(change) : { text: 'nothing before it', tone: 'quiet' },
        change ? detectableCell(change) : { text: '' },
        { text: before ? confounderWords(before.confounders) : '' },
      ]),
      note: VERDICT_NOTE,
      ...tableLinks(cornerPath(circuit.id, corner.name), 'verdicts'),
    };
  }
}

function lossWords({ verdict, interval, detectableS, laps }: Parameters<typeof lossCell>[0]): string {
  const between = interval
    ? `${signed(interval.lowS, 2)} to ${signed(interval.highS, 2)}\u202fs at ${number(interval.level * 100)}\u202f% over ${plural(laps, 'lap')}`
    : plural(laps, 'lap');
  if (verdict === 'cannot tell' || verdict === 'too few')
    return `not distinguishable from none (${between}${detectableS === null ? '' : `; ${seconds(detectableS, null, 2)} would mostly be seen`})`;
  return verdict === 'real' ? `real (${between})` : `there in that session (${between})`;
}
