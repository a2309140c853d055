import { metresNumber } from '../words.ts';
import { niceTicks } from './axis.ts';
import { drawing, type Form, label, one, textWidth } from './drawing.ts';
import { spread } from './spread.ts';

/** The events of a corner that are compared, in the order they happen. */
export const EVENTS = [
  { key: 'brakeOnsetM', title: 'brake on' },
  { key: 'brakeReleaseM', title: 'brake off' },
  { key: 'slowestM', title: 'slowest' },
  { key: 'pickUpM', title: 'pick-up' },
  { key: 'fullDriveM', title: 'full drive' },
] as const;

export type EventKey = (typeof EVENTS)[number]['key'];

/** A session's row: every lap's station of every event. Stations rise through the corner even past the gate. */
export interface MarkRow {
  readonly title: string;
  readonly stage: 'simulation' | 'bench' | 'track';
  readonly events: Readonly<Record<EventKey, readonly number[]>>;
}

/**
 * A corner's events on one station axis: a row a session, a tick a lap, and behind them from top to bottom the band
 * that the reference rider's laps cover with their median as a line.
 *
 * @param fromM left end of the axis, metres
 */
export function techniqueMarks(
  form: Form,
  _id: string,
  name: string,
  data: {
    rows: readonly MarkRow[];
    reference: Readonly<Record<EventKey, readonly number[]>>;
    fromM: number;
    toM: number;
    lengthM: number;
  },
): string {
  const { rows, reference, fromM, toM, lengthM } = data;
  const wide = form.name === 'wide';
  const left = wide ? 190 : 10;
  const right = wide ? 24 : 12;
  const rowHeight = wide ? 30 : 44;
  const top = 46;
  const bottom = 26;
  const height = top + rows.length * rowHeight + bottom;
  const x = (s: number): number => left + ((s - fromM) / (toM - fromM)) * (form.width - left - right);
  const foot = height - bottom;

  const grid = niceTicks(fromM, toM, wide ? 8 : 4).map((s) => {
    const shown = ((s % lengthM) + lengthM) % lengthM;
    return `<path d="M${one(x(s))},${top}V${foot}" stroke="var(--rule)"/>${label(x(s), height - 8, metresNumber(shown), { tone: 'soft' })}`;
  });
  const bands = EVENTS.flatMap(({ key }, i) => {
    const values = [...reference[key]].sort((a, b) => a - b);
    if (values.length === 0) return [];
    const [a, b] = [x(values[0]!), x(values.at(-1)!)];
    const middle = x(median(values));
    const w = Math.max(3, b - a);
    return [
      `<rect x="${one((a + b) / 2 - w / 2)}" y="${top}" width="${one(w)}" height="${one(foot - top)}" fill="var(--reference)" fill-opacity=".38"/>`,
      `<path d="M${one(middle)},${top}V${one(foot)}" stroke="var(--reference)" stroke-width="1.3"${i % 2 ? ' stroke-dasharray="3 2"' : ''}/>`,
    ];
  });
  const heads = EVENTS.map(({ key, title }) => ({
    title,
    values: [...reference[key], ...rows.flatMap((r) => r.events[key])],
    from: reference[key],
  }))
    .filter((h) => h.values.length > 0)
    .map((h) => ({
      title: h.title,
      at: x(median(h.from.length ? h.from : h.values)),
      width: textWidth(h.title, 11) + 8,
    }))
    .sort((a, b) => a.at - b.at);
  const middles = spread(heads, left - 4, form.width - 2);
  const headings = heads.map((h, i) => {
    const lead = `<path d="M${one(middles[i]!)},${top - 26}L${one(h.at)},${top - 2}" stroke="var(--soft)" stroke-width=".7"/>`;
    return lead + label(middles[i]!, top - 30, h.title, { tone: 'soft', size: 11 });
  });
  const lines = rows.map((row, i) => {
    const y = top + i * rowHeight + rowHeight / 2 + (wide ? 0 : 8);
    const base = `<path d="M${one(left)},${one(y)}H${one(form.width - right)}" stroke="var(--rule)"/>`;
    const ticks = EVENTS.map(({ key }, k) =>
      row.events[key].map((s) => glyph(k, x(s), y, row.stage === 'track')).join(''),
    );
    const title = wide
      ? label(left - 12, y + 4, row.title, { anchor: 'end' })
      : label(left, y - 14, row.title, { anchor: 'start', size: 11 });
    return base + ticks.join('') + title;
  });
  const unit = label(wide ? left - 12 : left, wide ? height - 8 : 10, 'station, m', {
    anchor: wide ? 'end' : 'start',
    tone: 'soft',
    size: wide ? 12 : 11,
  });
  const markup = [...grid, ...bands, ...headings, ...lines, wide ? unit : ''].join('');
  return drawing(form, [{ markup, height }], name);
}

/** Brake on and pick-up are tall, brake off and full drive short, the slowest point is a dot; off the track all are thin. */
function glyph(kind: number, x: number, y: number, track: boolean): string {
  const ink = `stroke="currentColor" stroke-width="${track ? 2 : 1}"`;
  if (kind === 2)
    return `<circle cx="${one(x)}" cy="${one(y)}" r="3" fill="${track ? 'currentColor' : 'none'}" ${track ? '' : ink}/>`;
  const reach = kind === 0 || kind === 3 ? 9 : 5;
  return `<path d="M${one(x)},${one(y - reach)}v${2 * reach}" ${ink} stroke-opacity=".85"/>`;
}

const median = (values: readonly number[]): number => {
  const sorted = [...values].sort((a, b) => a - b);
  const half = sorted.length >> 1;
  return sorted.length % 2 ? sorted[half]! : (sorted[half - 1]! + sorted[half]!) / 2;
};
