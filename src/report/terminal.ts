import type { LapResult, RunResult, SessionResult } from '../campaign/results.ts';
import { rounded } from './rounded.ts';
import { gapWords, lapTime, MISSING, number, plusMinus, signed } from './words.ts';

const DIGITS = 3;

/**
 * The ledger of one lap as text of fixed width: a row a corner, a column a phase, sums that add up as shown.
 * The drive of a corner is its exit and the straight that follows, as far as the next braking.
 */
export function ledgerText(session: SessionResult, run: RunResult, lap: LapResult, reference: string | null): string {
  const lines: string[] = [];
  const whole = lap.timeS !== null;
  lines.push(`${session.session} / ${run.file}, lap ${lap.lap} (${lap.kind})${lap.valid ? '' : ', not valid'}`);
  for (const reason of lap.reasons) lines.push(`  ${reason.text}`);
  if (reference) lines.push(`against ${reference}${session.reference ? `, ${lapTime(session.reference.timeS)}` : ''}`);
  if (whole && lap.gapS !== null) lines.push(`${lapTime(lap.timeS)}: ${plain(gapWords(lap.gapS, lap.sigmaS))}`);
  else if (whole) lines.push(`${lapTime(lap.timeS)}`);
  else lines.push(`as far as ${number(lap.coveredM)} m`);
  if (lap.ledger.length === 0) return [...lines, 'No ledger: there is no reference on this circuit.'].join('\n');

  const values = rounded(
    lap.ledger.map(({ gapS }) => gapS),
    DIGITS,
  );
  const rows = new Map<string, { braking: number; apex: number; drive: number }>();
  const row = (name: string) => {
    let r = rows.get(name);
    if (!r) rows.set(name, (r = { braking: 0, apex: 0, drive: 0 }));
    return r;
  };
  const names = [...new Set(lap.ledger.filter(({ cell }) => cell === 'apex').map(({ corner }) => corner))];
  const first = lap.ledger.find(({ cell, part }) => cell === 'apex' && part !== 'from gate')?.corner ?? names[0] ?? '';
  const before = 'gate';
  let current = before;
  lap.ledger.forEach((cell, i) => {
    const value = values[i]!;
    // Drive up to a corner belongs to the corner before; what comes before the first corner was made by the lap before.
    if (cell.phase === 'drive')
      row(cell.cell === 'exit' && cell.part !== 'from gate' ? cell.corner : current).drive += value;
    else row(cell.corner)[cell.phase] += value;
    if (cell.cell === 'exit' && cell.part !== 'from gate') current = cell.corner;
    else if (cell.cell === 'apex' && cell.part !== 'from gate') current = cell.corner;
  });
  const total = { braking: 0, apex: 0, drive: 0 };
  const head = ['corner', 'braking', 'apex', 'drive', 'sum'];
  const table = [...rows].map(([name, r]) => {
    for (const phase of ['braking', 'apex', 'drive'] as const) total[phase] += r[phase];
    const label = name === before ? `gate to ${first}` : name;
    return [label, cell(r.braking), cell(r.apex), cell(r.drive), cell(r.braking + r.apex + r.drive)];
  });
  table.push(['lap', ...[total.braking, total.apex, total.drive, total.braking + total.apex + total.drive].map(cell)]);
  const widths = head.map((h, i) => Math.max(h.length, ...table.map((r) => r[i]!.length)));
  const print = (r: readonly string[]): string =>
    r
      .map((text, i) => (i === 0 ? text.padEnd(widths[i]!) : text.padStart(widths[i]!)))
      .join('  ')
      .trimEnd();
  lines.push('', print(head), ...table.map(print), '');
  lines.push(
    `seconds lost (+) and gained (−); ± is 90 %, of the lap ${plain(plusMinus(lap.sigmaS, DIGITS)) || MISSING} s`,
  );
  if (lap.planS !== null && lap.executionS !== null)
    lines.push(
      `of the gap, ${signed(lap.planS, DIGITS)} s were planned and ${signed(lap.executionS, DIGITS)} s are execution`,
    );
  return lines.join('\n');
}

const cell = (value: number): string => (Math.abs(value) < 0.5 * 10 ** -DIGITS ? '0' : signed(value, DIGITS));

/** Terminals do not always have a narrow no-break space. */
const plain = (text: string): string => text.replaceAll('\u202f', ' ');
