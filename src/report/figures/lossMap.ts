import type { CircuitView } from '../../campaign/results.ts';
import { niceStep, stretches } from './axis.ts';
import { drawing, type Form, fitted, label, line, one, textWidth } from './drawing.ts';

/** Losses and gains along the lap as steps: seconds per 100 m between two stations. */
export interface LossStep {
  readonly fromM: number;
  readonly toM: number;
  readonly per100S: number;
}

type Point = readonly [number, number];

const ROAD_PX = 9;
/** Longest name of a corner; the tables have it whole. */
const MOST_NAME_PX = 120;
/** Width of the largest loss, in each form. */
const WIDEST_PX = { wide: 28, narrow: 20, half: 20 } as const;

/**
 * The circuit from above as a pale road of constant width, and in it a ribbon as wide as the seconds lost (warm) or
 * gained (cool) per 100 m there. Ribbons stay clear of neighbouring limbs. Corner names stand on the outside of their
 * bends.
 *
 * @param steps in station order; stations that no step covers show the bare road
 */
export function lossMap(
  form: Form,
  _id: string,
  name: string,
  {
    circuit,
    steps,
    tallest = form.name === 'wide' ? 460 : 360,
  }: { circuit: CircuitView; steps: readonly LossStep[]; tallest?: number },
): string {
  const { n, points, normals, limits, scale, height, turned } = groundOf(circuit, form, tallest);
  const { stepM } = circuit;
  const at = (i: number): Point => points[((i % n) + n) % n]!;
  const normal = (i: number): Point => normals[((i % n) + n) % n]!;

  // A model circuit is as long as a bend of a real one.
  const lap = n * stepM;
  const rates = smoothed(rateBySample(steps, n, stepM), Math.max(1, Math.round(Math.min(14, lap / 150) / stepM)));
  const most = Math.max(0.005, ...rates.map(Math.abs));
  const widest = WIDEST_PX[form.name];
  const half = rates.map((rate, i) => Math.min((Math.abs(rate) / most) * (widest / 2), limits[i]!));

  const road = `<path d="${line(points, true)}" fill="none" stroke="var(--road)" stroke-width="${ROAD_PX}" stroke-linejoin="round"/>`;
  const ribbons = runs(rates).map(({ from, to, loses }) => {
    const outer: Point[] = [];
    const inner: Point[] = [];
    for (let i = from; i <= to; i += 1) {
      const [p, m, w] = [at(i), normal(i), half[((i % n) + n) % n]!];
      outer.push([p[0] + m[0] * w, p[1] + m[1] * w]);
      inner.push([p[0] - m[0] * w, p[1] - m[1] * w]);
    }
    return `<path d="${line([...outer, ...inner.reverse()], true)}" fill="var(--${loses ? 'loss' : 'gain'})"/>`;
  });
  const middle = `<path d="${line(points, true)}" fill="none" stroke="currentColor" stroke-width=".7" stroke-opacity=".75"/>`;
  const markup = [
    road,
    ...ribbons,
    middle,
    gate(at, normal),
    names(circuit, points, half, widest, form.width, height),
    legend(
      form,
      height,
      scale,
      most,
      widest,
      turned,
      rates.every((r) => r <= 0),
    ),
  ].join('');
  return drawing(form, [{ markup, height }], name);
}

/** What of the drawing depends on the circuit alone, the same for every lap ridden there. */
interface Ground {
  readonly n: number;
  readonly points: readonly Point[];
  /** Unit vectors to the left of travel, on the page. */
  readonly normals: readonly Point[];
  /** Half the width that a ribbon may have, pixels. */
  readonly limits: readonly number[];
  readonly scale: number;
  readonly height: number;
  /** North is to the right. */
  readonly turned: boolean;
}

const grounds = new WeakMap<CircuitView, Map<string, Ground>>();

function groundOf(circuit: CircuitView, form: Form, tallest: number): Ground {
  const kept = grounds.get(circuit) ?? new Map<string, Ground>();
  grounds.set(circuit, kept);
  const key = `${form.name} ${tallest}`;
  const ground = kept.get(key) ?? laidOut(circuit, form, tallest);
  kept.set(key, ground);
  return ground;
}

function laidOut({ eastM, northM, stepM }: CircuitView, form: Form, tallest: number): Ground {
  const n = eastM.length;
  const turned = extent(northM) > extent(eastM) * 1.15;
  const across = turned ? northM : eastM;
  const along = turned ? eastM.map((e) => -e) : northM;
  const pad = 44;
  const scale = Math.min((form.width - 2 * pad) / extent(across), (tallest - 2 * pad - 34) / extent(along));
  const height = extent(along) * scale + 2 * pad + 34;
  const shift = (form.width - extent(across) * scale) / 2;
  const [left, low] = [Math.min(...across), Math.min(...along)];
  const place = (a: number, b: number): Point => [shift + (a - left) * scale, height - 34 - pad - (b - low) * scale];
  const points = across.map((a, i) => place(a, along[i]!));
  const at = (i: number): Point => points[((i % n) + n) % n]!;
  const normals = points.map((_, i): Point => {
    const [p, q] = [at(i - 4), at(i + 4)];
    const d = Math.hypot(q[0] - p[0], q[1] - p[1]) || 1;
    return [(q[1] - p[1]) / d, -(q[0] - p[0]) / d];
  });
  const widest = WIDEST_PX[form.name];
  const span = Math.max(1, Math.round(Math.min(10, (n * stepM) / 200) / stepM));
  const limits = smoothed(
    least(
      clearance(points).map((r, i) => Math.min(widest, r * 0.45, Math.max(ROAD_PX / 2, radius(at, i) * 0.8))),
      span,
    ),
    span,
  );
  return { n, points, normals, limits, scale, height, turned };
}

const extent = (values: readonly number[]): number => Math.max(...values) - Math.min(...values);

function rateBySample(steps: readonly LossStep[], n: number, stepM: number): number[] {
  const rates = Array<number>(n).fill(0);
  for (const { fromM, toM, per100S } of steps)
    for (let i = Math.max(0, Math.ceil(fromM / stepM)); i < n && i * stepM < toM; i += 1) rates[i] = per100S;
  return rates;
}

/** Moving mean over ±half samples round the lap, so that the ribbon does not jump at a boundary. */
function smoothed(values: readonly number[], half: number): number[] {
  const n = values.length;
  return values.map((_, i) => {
    let sum = 0;
    for (let k = i - half; k <= i + half; k += 1) sum += values[k < 0 ? k + n : k >= n ? k - n : k]!;
    return sum / (2 * half + 1);
  });
}

/** Least value over ±half samples round the lap. */
function least(values: readonly number[], half: number): number[] {
  const n = values.length;
  return values.map((_, i) => {
    let low = values[i]!;
    for (let k = -half; k <= half; k += 1) low = Math.min(low, values[(i + k + n) % n]!);
    return low;
  });
}

/** Stretches of one sign, as sample indices; each shares its end with the next so that no seam shows. */
function runs(rates: readonly number[]): { from: number; to: number; loses: boolean }[] {
  const out: { from: number; to: number; loses: boolean }[] = [];
  rates.forEach((rate, i) => {
    const last = out.at(-1);
    if (Math.abs(rate) < 1e-6) return;
    if (last && last.to === i && last.loses === rate > 0) last.to = i + 1;
    else out.push({ from: i, to: i + 1, loses: rate > 0 });
  });
  return out;
}

/** How far each point of the line is from limbs of the circuit that are not its own neighbourhood, pixels. */
function clearance(points: readonly Point[]): number[] {
  const stride = Math.max(1, Math.floor(points.length / 300));
  const some = points.filter((_, i) => i % stride === 0);
  const walked = [0];
  some.forEach((p, i) => {
    const q = some[(i + 1) % some.length]!;
    walked.push(walked[i]! + Math.hypot(q[0] - p[0], q[1] - p[1]));
  });
  const total = walked.at(-1)!;
  const nearest = some.map((p, i) => {
    let best = Number.POSITIVE_INFINITY;
    some.forEach((q, k) => {
      const d = Math.hypot(q[0] - p[0], q[1] - p[1]);
      if (d >= best) return;
      // Near by the line as well as across it: its own neighbourhood. Round a hairpin the way is long, the gap short.
      const apart = Math.abs(walked[i]! - walked[k]!);
      if (Math.min(apart, total - apart) > Math.max(14, 2.2 * d)) best = d;
    });
    return best;
  });
  return points.map((_, i) => nearest[Math.min(nearest.length - 1, Math.floor(i / stride))]!);
}

/** Radius of the line at a sample, pixels, over about 12 px; very large where it is straight. */
function radius(at: (i: number) => Point, i: number): number {
  let reach = 1;
  const here = at(i);
  while (reach < 60 && Math.hypot(at(i + reach)[0] - here[0], at(i + reach)[1] - here[1]) < 6) reach += 1;
  const [a, b] = [at(i - reach), at(i + reach)];
  const area2 = Math.abs((here[0] - a[0]) * (b[1] - a[1]) - (here[1] - a[1]) * (b[0] - a[0]));
  const sides =
    Math.hypot(here[0] - a[0], here[1] - a[1]) *
    Math.hypot(b[0] - here[0], b[1] - here[1]) *
    Math.hypot(b[0] - a[0], b[1] - a[1]);
  return area2 < 1e-9 ? Number.POSITIVE_INFINITY : sides / (2 * area2);
}

/** The gate as a bar across the road, and an arrow beside it in the direction of travel. */
function gate(at: (i: number) => Point, normal: (i: number) => Point): string {
  const [p, m] = [at(0), normal(0)];
  const bar = `M${one(p[0] - m[0] * 12)},${one(p[1] - m[1] * 12)}L${one(p[0] + m[0] * 12)},${one(p[1] + m[1] * 12)}`;
  const along: Point = [-m[1], m[0]];
  const tip = (f: number, s: number): string =>
    `${one(p[0] + along[0] * f + m[0] * s)},${one(p[1] + along[1] * f + m[1] * s)}`;
  const arrow = `M${tip(-2, 17)}L${tip(14, 17)}M${tip(9, 13.5)}L${tip(14, 17)}L${tip(9, 20.5)}`;
  return `<path d="${bar}" stroke="currentColor" stroke-width="2.5"/><path d="${arrow}" stroke="currentColor" stroke-width="1.2" fill="none"/>`;
}

/** Corner names outside their bends: the nearest free place along the line from the bend's centre through its middle. */
function names(
  circuit: CircuitView,
  points: readonly Point[],
  half: readonly number[],
  widest: number,
  width: number,
  height: number,
): string {
  const n = points.length;
  const at = (i: number): Point => points[((i % n) + n) % n]!;
  const taken: Point[] = [];
  const out: string[] = [];
  for (const corner of circuit.corners) {
    const parts = stretches(corner.entryM, corner.exitM, circuit.lengthM);
    const length = parts.reduce((sum, [a, b]) => sum + b - a, 0);
    const mid = Math.round((corner.entryM + length / 2) / circuit.stepM);
    const reach = Math.max(4, Math.round(length / 2 / circuit.stepM));
    const [p, a, b] = [at(mid), at(mid - reach), at(mid + reach)];
    const chord: Point = [(a[0] + b[0]) / 2 - p[0], (a[1] + b[1]) / 2 - p[1]];
    const bow = Math.hypot(chord[0], chord[1]);
    const [q, r] = [at(mid - 2), at(mid + 2)];
    const d = Math.hypot(r[0] - q[0], r[1] - q[1]) || 1;
    const outward: Point = bow > 1.5 ? [-chord[0] / bow, -chord[1] / bow] : [(r[1] - q[1]) / d, -(r[0] - q[0]) / d];
    const name = fitted(corner.name, MOST_NAME_PX);
    const size = textWidth(name) / 2 + 3;
    const reachOut = Math.max(ROAD_PX / 2, half[((mid % n) + n) % n]!) + 11;
    const candidates = [0, 6, 12, 20, 30].flatMap((extra) =>
      [0, 0.45, -0.45, 0.9, -0.9, Math.PI].map((turn): Point => {
        const [c, s] = [Math.cos(turn), Math.sin(turn)];
        const [x, y] = [outward[0] * c - outward[1] * s, outward[0] * s + outward[1] * c];
        // A long name beside the road has its middle farther off than a short one.
        const away = Math.min(size / Math.max(Math.abs(x), 1e-6), 7 / Math.max(Math.abs(y), 1e-6));
        const l = reachOut + extra + Math.max(0, away - 9) + (Math.abs(turn) > 3 ? 4 : 0);
        return [p[0] + x * l, p[1] + y * l];
      }),
    );
    const free = (c: Point): boolean => {
      if (c[0] < size || c[0] > width - size || c[1] < 10 || c[1] > height - 30) return false;
      for (const t of taken) if (Math.abs(t[0] - c[0]) < size * 2 && Math.abs(t[1] - c[1]) < 14) return false;
      for (let i = 0; i < n; i += 2) {
        const t = points[i]!;
        if (Math.abs(t[0] - c[0]) > size + widest || Math.abs(t[1] - c[1]) > 10 + widest) continue;
        const need = Math.max(ROAD_PX / 2, half[i]!);
        if (
          Math.hypot(Math.max(0, Math.abs(t[0] - c[0]) - size + 3), Math.max(0, Math.abs(t[1] - c[1]) - 5)) <
          need + 2
        )
          return false;
      }
      return true;
    };
    const spot = candidates.find(free) ?? candidates[0]!;
    taken.push(spot);
    const [dx, dy] = [spot[0] - p[0], spot[1] - p[1]];
    const distance = Math.hypot(dx, dy);
    // From the road to where the name begins.
    const share = 1 - Math.min(size / Math.max(Math.abs(dx), 1e-6), 9 / Math.max(Math.abs(dy), 1e-6));
    const hair =
      share * distance > reachOut - 4
        ? `<path d="M${one(p[0])},${one(p[1])}L${one(p[0] + dx * share)},${one(p[1] + dy * share)}" stroke="var(--soft)" stroke-width=".7"/>`
        : '';
    out.push(hair + label(spot[0], spot[1] + 4.2, name, { tone: 'strong' }));
  }
  return out.join('');
}

/** Widths with their seconds, a bar of ground length, and north. */
function legend(
  form: Form,
  height: number,
  scale: number,
  most: number,
  widest: number,
  turned: boolean,
  ahead: boolean,
): string {
  const y = height - 14;
  const steps = [most / 4, most / 2, most]
    .map((v) => Number(v.toPrecision(1)))
    .filter((v, i, all) => all.indexOf(v) === i);
  let x = form.name === 'wide' ? 44 : 8;
  const out: string[] = [];
  for (const value of steps) {
    const w = (value / most) * widest;
    const text = String(value);
    out.push(
      `<rect x="${one(x)}" y="${one(y - 4 - w / 2)}" width="20" height="${one(w)}" fill="var(--${ahead ? 'gain' : 'loss'})"/>`,
      label(x + 25, y, text, { anchor: 'start', tone: 'soft' }),
    );
    x += 34 + textWidth(text);
  }
  const unit = form.name === 'wide' ? `seconds ${ahead ? 'gained' : 'lost'} per 100\u202fm` : 's per 100\u202fm';
  out.push(label(x, y, unit, { anchor: 'start', tone: 'soft' }));
  const ground = niceStep((form.name === 'wide' ? 130 : 60) / scale, 1);
  const right = form.width - (form.name === 'wide' ? 78 : 40);
  const w = ground * scale;
  const length = `${ground}\u202fm`;
  // Where the bar finds no room beside the widths, its length stands above it.
  const beside = right - w - 12 - textWidth(length) > x + textWidth(unit);
  if (form.name === 'wide' || w < 100) {
    out.push(
      `<path d="M${one(right - w)},${one(y - 7)}v5H${one(right)}v-5" stroke="var(--soft)" fill="none"/>`,
      beside
        ? label(right - w - 6, y, length, { anchor: 'end', tone: 'soft' })
        : label(right - w / 2, y - 12, length, { tone: 'soft' }),
    );
  }
  const nx = form.width - (form.name === 'wide' ? 50 : 20);
  const arrow = turned ? `M${nx - 10},${y - 4}h18m-5,-4l5,4l-5,4` : `M${nx},${y + 3}v-18m-4,5l4,-5l4,5`;
  out.push(
    `<path d="${arrow}" stroke="var(--soft)" fill="none"/>`,
    label(nx + (turned ? 0 : 10), turned ? y - 12 : y - 4, 'N', { tone: 'soft', size: 11 }),
  );
  return out.join('');
}
