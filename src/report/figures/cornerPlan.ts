import type { CircuitView, MapCorner } from '../../campaign/results.ts';
import { niceStep } from './axis.ts';
import { drawing, type Form, label, line, one, textWidth } from './drawing.ts';
import type { EventKey } from './techniqueMarks.ts';

/** Median stations of the events of a corner; null where one was not found. */
export type EventPlaces = Readonly<Partial<Record<EventKey, number>>>;

type Point = readonly [number, number];

const TITLES: readonly (readonly [EventKey, string])[] = [
  ['brakeOnsetM', 'brake on'],
  ['slowestM', 'slowest'],
  ['pickUpM', 'pick-up'],
];

/**
 * The corner from above, entered from the left: on the outer side of the road where the reference rider brakes, is
 * slowest and picks the throttle up, on the inner side where the robot does.
 */
export function cornerPlan(
  form: Form,
  _id: string,
  name: string,
  {
    circuit,
    corner,
    reference,
    robot,
  }: { circuit: CircuitView; corner: MapCorner; reference: EventPlaces; robot: EventPlaces },
): string {
  const { lengthM, stepM } = circuit;
  const n = circuit.eastM.length;
  const ahead = (s: number): number =>
    ((((s - corner.entryM + lengthM / 2) % lengthM) + lengthM) % lengthM) - lengthM / 2;
  const span = ahead(corner.exitM) < 0 ? ahead(corner.exitM) + lengthM : ahead(corner.exitM);
  const marks = [...Object.values(reference), ...Object.values(robot)].map(ahead);
  const from = Math.min(-30, ...marks.map((m) => m - 15));
  const to = Math.max(span + 30, ...marks.map((m) => m + 15));
  const raw = (offset: number): Point => {
    const position = (((corner.entryM + offset) % lengthM) + lengthM) % lengthM;
    const q = position / stepM;
    const i = Math.min(Math.floor(q), n - 1);
    const k = (i + 1) % n;
    const f = q - Math.floor(q);
    return [
      circuit.eastM[i]! + f * (circuit.eastM[k]! - circuit.eastM[i]!),
      circuit.northM[i]! + f * (circuit.northM[k]! - circuit.northM[i]!),
    ];
  };
  // Turned so that the way from the first to the last point runs from left to right.
  const [p, q] = [raw(from), raw(to)];
  const turn = -Math.atan2(q[1] - p[1], q[0] - p[0]);
  const turned = (o: number): Point => {
    const [e, m] = raw(o);
    return [e * Math.cos(turn) - m * Math.sin(turn), -(e * Math.sin(turn) + m * Math.cos(turn))];
  };
  const stations: number[] = [];
  for (let o = from; o <= to; o += Math.max(1, stepM)) stations.push(o);
  const all = stations.map(turned);
  const xs = all.map((a) => a[0]);
  const ys = all.map((a) => a[1]);
  const [left, right, top, bottom] = [Math.min(...xs), Math.max(...xs), Math.min(...ys), Math.max(...ys)];
  const pad = 54;
  const scale = Math.min((form.width - 2 * pad) / Math.max(1, right - left), 220 / Math.max(1, bottom - top), 6);
  const height = (bottom - top) * scale + 2 * pad + 16;
  const shift = (form.width - (right - left) * scale) / 2;
  const at = (o: number): Point => {
    const [x, y] = turned(o);
    return [shift + (x - left) * scale, pad + (y - top) * scale];
  };
  const normal = (o: number): Point => {
    const [a, b] = [at(o - 2), at(o + 2)];
    const d = Math.hypot(b[0] - a[0], b[1] - a[1]) || 1;
    return [(b[1] - a[1]) / d, -(b[0] - a[0]) / d];
  };
  const path = stations.map(at);
  const road = `<path d="${line(path)}" fill="none" stroke="var(--road)" stroke-width="13" stroke-linejoin="round"/><path d="${line(path)}" fill="none" stroke="var(--page)" stroke-width=".8"/>`;
  // The outside of the bend: to the right of travel in a left bend.
  const side = corner.direction === 'left' ? -1 : 1;
  const taken: [number, number, number, number][] = [];
  /** A word beyond the end of a tick, just clear of it, further out where another word stands. */
  const put = ([x, y]: Point, [dx, dy]: Point, text: string): string => {
    const w = textWidth(text, 11) / 2 + 2;
    const clear = 3 + Math.min(w / Math.max(Math.abs(dx), 1e-6), 7 / Math.max(Math.abs(dy), 1e-6));
    for (const more of [clear, clear + 13, clear + 26, clear + 39]) {
      const [cx, cy] = [Math.min(Math.max(x + dx * more, w), form.width - w), y + dy * more + 4];
      const box: [number, number, number, number] = [cx - w, cy - 10, cx + w, cy + 3];
      if (taken.some((t) => box[0] < t[2] && t[0] < box[2] && box[1] < t[3] && t[1] < box[3])) continue;
      taken.push(box);
      return label(cx, cy, text, { tone: 'soft', size: 11 });
    }
    return '';
  };
  const ticks = (places: EventPlaces, out: boolean): string =>
    TITLES.map(([key, title]) => {
      const station = places[key];
      if (station === undefined) return '';
      const o = ahead(station);
      const [[x, y], m] = [at(o), normal(o)];
      // The normal points to the left of travel on the page.
      const way = (out ? 1 : -1) * side;
      const end = (d: number): Point => [x + m[0] * way * d, y + m[1] * way * d];
      const [a, b] = [end(0), end(out ? 15 : 13)];
      const ink = out ? 'stroke="var(--soft)" stroke-width="1.3"' : 'stroke="currentColor" stroke-width="2.4"';
      const word = out ? put(b, [m[0] * way, m[1] * way], title) : '';
      return `<path d="M${one(a[0])},${one(a[1])}L${one(b[0])},${one(b[1])}" ${ink}/>${word}`;
    }).join('');
  const ground = niceStep(90 / scale, 1);
  const bar = `<path d="M${one(form.width - 12 - ground * scale)},${one(height - 12)}v5h${one(ground * scale)}v-5" stroke="var(--soft)" fill="none"/>${label(form.width - 18 - ground * scale, height - 7, `${ground}\u202fm`, { anchor: 'end', tone: 'soft', size: 11 })}`;
  const [tip, tail] = [at(from + 12), at(from)];
  const angle = (Math.atan2(tip[1] - tail[1], tip[0] - tail[0]) * 180) / Math.PI;
  const arrow = `<path d="M-5,-4L4,0L-5,4" transform="translate(${one(tail[0])},${one(tail[1])}) rotate(${one(angle)})" stroke="currentColor" stroke-width="1.4" fill="none"/>`;
  return drawing(form, [{ markup: road + ticks(reference, true) + ticks(robot, false) + arrow + bar, height }], name);
}
