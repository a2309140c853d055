import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import type { LedgerCell } from '../../src/campaign/results.ts';
import { cellWords, ledgerRows, rowTitle } from '../../src/report/cells.ts';
import { ledgerTable } from '../../src/report/ledgerTable.ts';
import { losses, lossSentence } from '../../src/report/losses.ts';

const PHASE = { straight: 'drive', braking: 'braking', apex: 'apex', exit: 'drive' } as const;

/** A lap of corners, four cells each, with given gaps; the first straight or the last exit may be cut by the gate. */
function lapOf(gaps: readonly number[], cut: 'straight' | 'exit' | 'none' = 'none', sigmaS = 0.01): LedgerCell[] {
  const cells = gaps.map((gapS, i): LedgerCell => {
    const cell = (['straight', 'braking', 'apex', 'exit'] as const)[i % 4]!;
    return {
      corner: String(Math.floor(i / 4) + 1),
      cell,
      phase: PHASE[cell],
      fromM: i * 50,
      toM: i * 50 + 50,
      referenceS: 1,
      gapS,
      sigmaS,
      planS: null,
      executionS: null,
    };
  });
  const end = cells.length * 50;
  if (cut === 'straight') {
    cells[0] = { ...cells[0]!, part: 'from gate' };
    cells.push({ ...cells[0]!, part: 'to gate', fromM: end, toM: end + 20, gapS: 0.01 });
  }
  if (cut === 'exit') {
    const last = cells.at(-1)!;
    cells[cells.length - 1] = { ...last, part: 'to gate' };
    cells.unshift({ ...last, part: 'from gate', fromM: -20, toM: 0, gapS: 0.01 });
  }
  return cells;
}

const value = (text: string): number => (text === '' ? 0 : Number(text.replace('−', '-')));
const options = { circuit: 'c', sigmaS: 0.01, reachM: null, csv: 'a.csv', json: 'a.json' };

describe('a ledger as it is shown', () => {
  // The rule is the method's: displayed cells are rounded so that they sum to the displayed total.
  test('adds up along every row, down every column, and to the gap of the lap', () => {
    const gaps = fc.array(fc.double({ min: -2, max: 2, noNaN: true }), { minLength: 4, maxLength: 60 });
    fc.assert(
      fc.property(gaps, fc.constantFrom('straight', 'exit', 'none' as const), (list, cut) => {
        const cells = lapOf(list.slice(0, Math.floor(list.length / 4) * 4), cut as 'none');
        const totalS = cells.reduce((s, c) => s + c.gapS, 0);
        const table = ledgerTable(cells, { ...options, totalS });
        const hundredths = (text: string): number => Math.round(value(text) * 100);
        for (const row of [...table.rows, ...table.foot!])
          expect(row.slice(1, 4).reduce((s, c) => s + hundredths(c.text), 0)).toBe(hundredths(row[4]!.text));
        const foot = table.foot![0]!;
        for (const column of [1, 2, 3, 4])
          expect(table.rows.reduce((s, row) => s + hundredths(row[column]!.text), 0)).toBe(
            hundredths(foot[column]!.text),
          );
        expect(Math.abs(value(foot[4]!.text) - totalS)).toBeLessThanOrEqual(0.005 + 1e-9);
      }),
    );
  });

  test('says so where the cells do not hold the whole gap, instead of spreading the rest over them', () => {
    const table = ledgerTable(lapOf([0.1, 0.2, 0.3, 0.4]), { ...options, totalS: 1.5 });
    expect(table.foot![0]![4]!.text).toBe('+1.00');
    expect(table.note).toContain('+1.000\u202fs of a gap of +1.500\u202fs');
  });
});

describe('where the gate cuts the lap', () => {
  const titles = (cells: LedgerCell[]): string[] => {
    const rows = ledgerRows(cells);
    return rows.map((row) => rowTitle(row, rows));
  };
  const gaps = Array<number>(8).fill(0.1);
  test('in no cell, every row is a corner', () => expect(titles(lapOf(gaps))).toEqual(['1', '2']));
  test('in the straight to the first corner, its head stands at the end', () =>
    expect(titles(lapOf(gaps, 'straight'))).toEqual(['1', '2', '2 to gate']));
  test('in the drive out of the last corner, its tail stands at the start', () =>
    expect(titles(lapOf(gaps, 'exit'))).toEqual(['gate to 1', '1', '2']));
  test('the two pieces say which they are', () => {
    expect(
      lapOf(gaps, 'exit')
        .filter((c) => c.part)
        .map(cellWords),
    ).toEqual(['the drive out of corner 2, from the gate on', 'the drive out of corner 2, up to the gate']);
  });
});

describe('shares', () => {
  test('are of what was lost, whatever was gained elsewhere', () => {
    // By hand: losses 0.6 braking + 0.2 drive = 0.8, gain 0.5; braking holds 0.6 / 0.8 = 75 %.
    const cells = lapOf([0.2, 0.6, -0.5, 0]);
    expect(losses(cells).share.braking).toBeCloseTo(0.75, 12);
    expect(lossSentence(cells)).toBe('75\u202f% of what is lost goes in braking zones, half of that in corner 1.');
  });
  test('of a lap that loses nowhere give way to where it gains', () => {
    expect(lossSentence(lapOf([-0.1, -0.4, 0, 0]))).toBe(
      'Nothing is lost anywhere; most is gained in braking for corner 1 (0.40\u202fs).',
    );
  });
});
