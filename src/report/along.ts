import type { LapCurves, LedgerCell } from '../campaign/results.ts';
import { cellWords } from './cells.ts';
import type { TableLinks } from './paths.ts';
import type { Cell, Table } from './report.ts';
import { digitsFor, kmhNumber, metresNumber, number, signed, Z_90 } from './words.ts';

/** A station that the data table of a figure along the lap lists, and what happens there. */
interface Stop {
  readonly stationM: number;
  readonly event: string;
}

/** Every 100 m and every boundary of a phase, in station order. */
function stops(cells: readonly LedgerCell[], lengthM: number): Stop[] {
  const list: Stop[] = [];
  for (let s = 0; s <= lengthM; s += 100) list.push({ stationM: s, event: s === 0 ? 'gate' : '' });
  for (const cell of cells)
    if (cell.part !== 'from gate' && cell.toM > cell.fromM)
      list.push({ stationM: cell.fromM, event: `${cellWords(cell)} begins` });
  list.push({ stationM: lengthM, event: 'gate' });
  return list
    .sort((a, b) => a.stationM - b.stationM)
    .filter(
      (stop, i, all) =>
        stop.event !== '' || !all.some((o, k) => k !== i && Math.abs(o.stationM - stop.stationM) < 5 && o.event !== ''),
    );
}

/** Value of a curve at a station, straight between its samples; null in a hole. */
function valueAt(values: readonly (number | null)[], stepM: number, stationM: number): number | null {
  const position = stationM / stepM;
  const i = Math.min(Math.floor(position), values.length - 1);
  const a = values[i] ?? null;
  const b = values[i + 1] ?? a;
  if (a === null || b === null) return null;
  return a + (position - i) * (b - a);
}

/**
 * The curves of a lap at the stations that matter.
 *
 * @param compared whether the lap has a gap to show
 */
export function alongTable(
  curves: LapCurves,
  cells: readonly LedgerCell[],
  lengthM: number,
  compared: boolean,
  links: TableLinks,
): Table {
  const rows = stops(cells, lengthM).map(({ stationM, event }): Cell[] => {
    const at = (values: readonly (number | null)[]): number | null => valueAt(values, curves.stepM, stationM);
    const sigma = at(curves.sigmaS);
    const digits = digitsFor(sigma);
    const [v, u] = [at(curves.speedMps), at(curves.referenceMps)];
    return [
      { text: metresNumber(stationM) },
      { text: event },
      ...(compared
        ? [
            { text: signed(at(curves.gapS), digits) },
            { text: sigma === null ? number(null) : number(Z_90 * sigma, Math.min(3, digits + 1)) },
          ]
        : []),
      { text: kmhNumber(v) },
      { text: kmhNumber(u) },
      { text: v === null || u === null ? number(null) : kmhNumber(v - u) },
    ];
  });
  const column = (title: string, unit: string) => ({ title, unit, kind: 'number' as const });
  return {
    id: 'curves-data',
    caption: `${compared ? 'Gap and speeds' : 'Speeds'} by station: every 100 m and where a phase begins`,
    columns: [
      column('station', 'm'),
      { title: 'there', kind: 'text' },
      ...(compared ? [column('gap', 's'), column('±', 's')] : []),
      column('this lap', 'km/h'),
      column('reference', 'km/h'),
      column('difference', 'km/h'),
    ],
    rows,
    ...links,
  };
}
