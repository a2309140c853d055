import { cellWords } from '../cells.ts';
import { cornersWords, losses } from '../losses.ts';
import { asGaps, MEDIAN_DIGITS } from '../medians.ts';
import { confirmed } from '../notes/confirmed.ts';
import { setNote } from '../notes/setNote.ts';
import { latestSession } from '../now.ts';
import { weekPath } from '../paths.ts';
import type { Results } from '../readResults.ts';
import { summary as middle } from '../summary.ts';
import { listWords, plural, sentence } from '../words.ts';
import { changeOf, lapsOfAll, whole } from './change.ts';
import { weekSessions } from './weekTables.ts';

/** Half the width of the range that a sentence is first given, s: what laps differ by from one to the next. */
const SLACK_S = 0.1;

/**
 * A first note of a week to edit: what the data say, each sentence a claim that is confirmed on the inputs as they are.
 *
 * @param week with a session, or there is little to say
 */
export function weekScaffold(results: Results, week: string): string {
  const { sessions, now, before } = weekSessions(results, week);
  const lines: string[] = [];
  // What is said to be lost stays a loss, what is said to be less stays less: a range never takes in the other side.
  const range = (value: number): string => {
    const [low, high] =
      value < 0 ? [value - SLACK_S, Math.min(0, value + SLACK_S)] : [Math.max(0, value - SLACK_S), value + SLACK_S];
    return [low, high].map((end, i) => `${i === 0 ? 'from' : 'to'}=${(end + 0).toFixed(MEDIAN_DIGITS)}`).join(' ');
  };
  if (!now?.summary)
    lines.push(
      sessions.length === 0
        ? 'Nothing was run.'
        : `${sentence(plural(sessions.length, 'session'))} and no lap that compares with the reference.`,
    );
  else {
    const of = `of=${now.session}`;
    const { summary } = now;
    const gapS = summary.medianGapS!;
    const laps = plural(summary.laps, 'counted lap');
    lines.push(
      `Over :claim[${laps}]{counted ${of} from=${summary.laps} to=${summary.laps}} the robot is :claim[:value{gap ${of}} ${gapS < 0 ? 'ahead of' : 'behind'} the reference]{gap ${of} ${range(gapS)}} in the median.`,
    );
    const largest = losses(asGaps(summary.cells)).largest.slice(0, 3);
    if (largest.length > 0)
      lines.push(
        `Most is lost in ${listWords(
          largest.map(
            (c) =>
              `:claim[${cellWords(c)} (:value{loss ${of} corner=${quoted(c.corner)} cell=${c.cell}})]{loss ${of} corner=${quoted(c.corner)} cell=${c.cell} ${range(cellSum(c))}}`,
          ),
        )}.`,
      );
    if (before) {
      const against = `of=${now.session} against=${before.session}`;
      const [a, b] = [lapsOfAll(results, [whole(before)]), lapsOfAll(results, [whole(now)])];
      const change = gapS - before.summary!.medianGapS!;
      lines.push(
        '',
        `Against :session[${before.session}] the gap is :claim[${change <= 0 ? 'smaller' : 'larger'} (:value{gap ${against}})]{gap ${against} ${range(change)}}.`,
      );
      const corners = (results.circuit(now.circuit)?.corners ?? [])
        .flatMap(({ name }) => {
          const c = changeOf(a, b, { corner: name });
          return c ? [{ name, changeS: c.changeS }] : [];
        })
        .sort((x, y) => x.changeS - y.changeS);
      const told = (some: typeof corners): string =>
        listWords(
          some.map(
            ({ name, changeS }) =>
              `:claim[${cornersWords([name])} (:value{loss ${against} corner=${quoted(name)}})]{loss ${against} corner=${quoted(name)} ${range(changeS)}}`,
          ),
        );
      const [better, worse] = [
        corners.filter((c) => c.changeS < -0.005).slice(0, 3),
        corners
          .filter((c) => c.changeS > 0.005)
          .slice(-2)
          .reverse(),
      ];
      if (better.length > 0) lines.push(`It came down most in ${told(better)}.`);
      if (worse.length > 0) lines.push(`More is lost than before in ${told(worse)}.`);
    }
  }
  const interventions = sessions.filter((s) =>
    s.runs.some((run) => run.incidents.some((i) => i.kind === 'intervention')),
  );
  if (interventions.length > 0)
    lines.push(
      '',
      ...interventions.map((s) => {
        const n = s.runs.flatMap((run) => run.incidents).filter((i) => i.kind === 'intervention').length;
        return `On :session[${s.session}] the robot was taken out of control :claim[${n === 1 ? 'once' : `${n} times`}]{interventions of=${s.session} from=${n} to=${n}}.`;
      }),
    );
  const text = lines.join('\n');
  const note = {
    file: '',
    line: 1,
    text,
    page: weekPath(week),
    id: 'notes',
    title: week,
    session: now ?? latestSession(results),
    body: true,
  };
  const body = text === '' ? '' : confirmed(text, setNote(note, results).claims);
  return `---\ntitle: What the week was about\nnext:\n  - What comes next, and why\n---\n${body}\n\nWhat was tried, and what it showed.\n`;

  /** A cell that the gate cuts is claimed as a whole. */
  function cellSum(c: { corner: string; cell: string; gapS: number }): number {
    const laps = lapsOfAll(results, [whole(now!)]);
    const sum = ({ ledger }: (typeof laps)[number]): number =>
      ledger.filter((e) => e.corner === c.corner && e.cell === c.cell).reduce((s, e) => s + e.gapS, 0);
    return middle(laps.map(sum))?.median ?? c.gapS;
  }
}

const quoted = (name: string): string => (/^[\w.-]+$/.test(name) ? name : `"${name}"`);
