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

/** Cumulative gap at the stations that matter. */
export function gapTable(
  id: string,
  curves: LapCurves,
  cells: readonly LedgerCell[],
  lengthM: number,
  links: TableLinks,
): Table {
  const rows = stops(cells, lengthM).map(({ stationM, event }): Cell[] => {
    const sigma = valueAt(curves.sigmaS, curves.stepM, stationM);
    const digits = digitsFor(sigma);
    return [
      { text: metresNumber(stationM) },
      { text: event },
      { text: signed(valueAt(curves.gapS, curves.stepM, stationM), digits) },
      { text: sigma === null ? number(null) : number(Z_90 * sigma, Math.min(3, digits + 1)) },
    ];
  });
  return {
    id,
    caption: 'Gap by station: every 100 m and where a phase begins',
    columns: [
      { title: 'station', unit: 'm', kind: 'number' },
      { title: 'there', kind: 'text' },
      { title: 'gap', unit: 's', kind: 'number' },
      { title: '±', unit: 's', kind: 'number' },
    ],
    rows,
    ...links,
  };
}

/** Both speeds at the stations that matter. */
export function speedTable(
  id: string,
  curves: LapCurves,
  cells: readonly LedgerCell[],
  lengthM: number,
  links: TableLinks,
): Table {
  const rows = stops(cells, lengthM).map(({ stationM, event }): Cell[] => {
    const v = valueAt(curves.speedMps, curves.stepM, stationM);
    const u = valueAt(curves.referenceMps, curves.stepM, stationM);
    return [
      { text: metresNumber(stationM) },
      { text: event },
      { text: kmhNumber(v) },
      { text: kmhNumber(u) },
      { text: v === null || u === null ? number(null) : kmhNumber(v - u) },
    ];
  });
  return {
    id,
    caption: 'Speeds by station: every 100 m and where a phase begins',
    columns: [
      { title: 'station', unit: 'm', kind: 'number' },
      { title: 'there', kind: 'text' },
      { title: 'this lap', unit: 'km/h', kind: 'number' },
      { title: 'reference', unit: 'km/h', kind: 'number' },
      { title: 'difference', unit: 'km/h', kind: 'number' },
    ],
    rows,
    ...links,
  };
}
