import { number, signed } from '../words.ts';
import { drawing, type Form, fitted, label, one, textWidth } from './drawing.ts';
import { inkOf } from './textures.ts';

/** What a corner cost in a session: mean over its counted laps, with their range. */
export interface MatrixCell {
  readonly meanS: number;
  readonly leastS: number;
  readonly greatestS: number;
}

/** One session. */
export interface MatrixRow {
  readonly title: string;
  /** What makes the session unlike the others, such as a wet surface; empty where nothing does. */
  readonly remark: string;
  readonly stage: 'simulation' | 'bench' | 'track';
  readonly meanS: number;
  /** One a corner; null where the session has nothing there. */
  readonly cells: readonly (MatrixCell | null)[];
}

/**
 * The campaign on one sheet: sessions down, corners across, and in each place a square whose area is the seconds lost
 * (warm) or gained (cool). Hollow and grey where the laps of the session fall on both sides of zero.
 *
 * @param corners names in the order of the lap
 * @param rows latest first
 */
export function matrix(
  form: Form,
  _id: string,
  name: string,
  { corners, rows, digits }: { corners: readonly string[]; rows: readonly MatrixRow[]; digits: number },
): string {
  const wide = form.name === 'wide';
  const left = wide ? 214 : 6;
  const right = wide ? 84 : 50;
  const column = (form.width - left - right) / Math.max(1, corners.length);
  // A phone has the name of the session above its squares.
  const above = wide ? 0 : 14;
  const most = Math.max(0.001, ...rows.flatMap((r) => r.cells.map((c) => Math.abs(c?.meanS ?? 0))));
  const largest = Math.min(column - 3, wide ? 40 : 30);
  const side = (seconds: number): number => largest * Math.sqrt(Math.abs(seconds) / most);
  const step = Math.max(wide ? 20 : 12, largest * (rows.length > 30 ? 0.7 : 1) + 4) + above;
  const top = 34;
  const height = top + rows.length * step + largest + 18;
  const x = (i: number): number => left + column * (i + 0.5);
  const y = (k: number): number => top + k * step + above + (step - above) / 2;

  const out = [
    label(wide ? left - 12 : left, 11, 'corner', { anchor: wide ? 'end' : 'start', tone: 'soft' }),
    ...corners.map((c, i) => label(x(i), wide ? 11 : 25, fitted(c, column - 4), { tone: 'soft' })),
    label(form.width, 11, wide ? 'lap, s' : 's', { anchor: 'end', tone: 'soft' }),
  ];
  rows.forEach((row, k) => {
    const middle = y(k);
    const base = wide ? middle : middle + (step - above) / 2;
    out.push(
      `<path d="M${wide ? 0 : left},${one(top + k * step)}H${form.width}" stroke="var(--rule)" stroke-width=".8"/>`,
    );
    const title = wide ? { x: left - 28, y: middle + 4 } : { x: left + 13, y: top + k * step + 12 };
    out.push(
      label(title.x, title.y, row.remark && wide ? `${row.remark} · ${row.title}` : row.title, {
        anchor: wide ? 'end' : 'start',
        size: wide ? 12 : 11,
      }),
      row.remark && !wide ? label(form.width - 54, title.y, row.remark, { anchor: 'end', tone: 'soft', size: 11 }) : '',
      stage(row.stage, wide ? left - 14 : left + 5, title.y - 4),
      label(form.width, middle + 4, signed(row.meanS, digits), { anchor: 'end', tone: 'strong' }),
    );
    row.cells.forEach((cell, i) => {
      if (!cell) {
        out.push(label(x(i), middle + 4, '–', { tone: 'soft' }));
        return;
      }
      const open = cell.leastS < 0 && cell.greatestS > 0;
      const a = Math.max(open ? 5 : 1.6, side(cell.meanS));
      const ink = open
        ? 'fill="none" stroke="var(--soft)" stroke-width="1" stroke-dasharray="2 1.5"'
        : `fill="${inkOf(cell.meanS >= 0)}"`;
      out.push(
        `<rect x="${one(x(i) - a / 2)}" y="${one(middle - a / 2)}" width="${one(a)}" height="${one(a)}" ${ink}/>`,
      );
    });
    if (k === rows.length - 1)
      out.push(
        `<path d="M${wide ? 0 : left},${one(Math.max(base + 2, top + rows.length * step))}H${form.width}" stroke="var(--rule)" stroke-width=".8"/>`,
      );
  });
  out.push(key(form, height, largest, most, side));
  return drawing(form, [{ markup: out.join(''), height }], name);
}

/** The sign of a stage, as in the descent: filled disc for track, square for bench, open disc for simulation. */
function stage(of: MatrixRow['stage'], x: number, y: number): string {
  const ink = 'stroke="currentColor" stroke-width="1.3"';
  if (of === 'bench') return `<rect x="${one(x - 3)}" y="${one(y - 3)}" width="6" height="6" fill="none" ${ink}/>`;
  return `<circle cx="${one(x)}" cy="${one(y)}" r="3.3" fill="${of === 'track' ? 'currentColor' : 'none'}" ${ink}/>`;
}

/** Squares of round seconds, and one for what cannot be told from noise. */
function key(form: Form, height: number, largest: number, most: number, side: (seconds: number) => number): string {
  const y = height - largest / 2 - 2;
  const steps = [...new Set([most / 10, most / 3, most].map((v) => Number(v.toPrecision(1))))].filter((v) => v > 0);
  const out: string[] = [];
  let x = form.name === 'wide' ? 214 : 6;
  for (const value of steps) {
    const a = side(value);
    const text = number(value, Math.max(0, -Math.floor(Math.log10(value))));
    out.push(
      `<rect x="${one(x)}" y="${one(y - 4 - a / 2)}" width="${one(a)}" height="${one(a)}" fill="var(--loss)"/>`,
      label(x + a + 5, y, text, { anchor: 'start', tone: 'soft' }),
    );
    x += a + 14 + textWidth(text);
  }
  out.push(label(x, y, form.name === 'wide' ? 'seconds lost' : 's lost', { anchor: 'start', tone: 'soft' }));
  x += textWidth(form.name === 'wide' ? 'seconds lost' : 's lost') + 18;
  out.push(
    `<rect x="${one(x)}" y="${one(y - 9)}" width="10" height="10" fill="none" stroke="var(--soft)" stroke-dasharray="2 1.5"/>`,
    label(x + 15, y, form.name === 'wide' ? 'laps on both sides of zero' : 'both sides of 0', {
      anchor: 'start',
      tone: 'soft',
    }),
  );
  return out.join('');
}
