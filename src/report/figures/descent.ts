import * as Plot from '@observablehq/plot';
import { number } from '../words.ts';
import { niceTicks, valueMarks } from './axis.ts';
import { drawing, type Form, label, one, panel, textWidth } from './drawing.ts';
import { spread } from './spread.ts';

/** One session: median gap over its counted laps, with the range they covered. */
export interface Stand {
  readonly date: string;
  readonly stage: 'simulation' | 'bench' | 'track';
  readonly gapS: number;
  readonly lowS: number;
  readonly highS: number;
  /** What makes the session unlike the others, such as a wet surface: the line passes it by. */
  readonly remark?: string;
  /** Set where the point is to be named. */
  readonly title?: string;
}

/** A milestone's target. */
export interface Target {
  readonly name: string;
  readonly due: string | null;
  readonly gapS: number;
}

/** What is foretold of a later day. */
export interface Ahead {
  readonly date: string;
  readonly medianS: number;
  readonly lowS: number;
  readonly highS: number;
}

const day = (iso: string): number => Date.parse(`${iso.slice(0, 10)}T00:00:00Z`) / 86_400_000;

/**
 * The gap by session over the campaign: track filled, bench square, simulation open, each with the range of its laps;
 * targets as steps that are to be reached by their dates, named at the right where nothing else stands; a forecast as a
 * pale fan about its broken middle.
 */
export function descent(
  form: Form,
  id: string,
  name: string,
  { stands, targets, fan = [] }: { stands: readonly Stand[]; targets: readonly Target[]; fan?: readonly Ahead[] },
): string {
  const wide = form.name === 'wide';
  const dated = targets
    .filter((t): t is Target & { due: string } => t.due !== null)
    .sort((a, b) => day(a.due) - day(b.due));
  const days = [...stands.map((s) => day(s.date)), ...dated.map((t) => day(t.due)), ...fan.map((f) => day(f.date))];
  const first = Math.min(...days);
  const last = Math.max(...days);
  const edge = Math.max(4, (last - first) * 0.04);
  const names = targets.map((t) => t.name);
  const right = targets.length ? Math.min(form.width * 0.36, Math.max(...names.map((n) => textWidth(n, 11))) + 16) : 16;
  const left = wide ? 44 : 34;
  const width = form.width;
  const values = [
    ...stands.flatMap((s) => [s.lowS, s.highS]),
    ...targets.map((t) => t.gapS),
    ...fan.flatMap((f) => [f.lowS, f.highS]),
  ];
  const low = Math.min(0, ...values);
  const high = Math.max(0.1, ...values) * 1.08;
  const height = 300;
  const [top, bottom] = [22, 24];
  const x = (d: number): number => left + ((d - first + edge) / (last - first + 2 * edge)) * (width - left - right);
  const y = (v: number): number => top + ((high - v) / (high - low)) * (height - top - bottom);
  const ticks = niceTicks(low, high, 4);
  const track = stands.filter((s) => s.stage === 'track' && !s.remark);
  // The fan opens from the last session on the track.
  const now = track.at(-1);
  const ahead =
    now && fan.length > 0 ? [{ date: now.date, medianS: now.gapS, lowS: now.gapS, highS: now.gapS }, ...fan] : [];
  const steps: [number, number][] = [];
  dated.forEach((t, i) => {
    const from = i === 0 ? first - edge : day(dated[i - 1]!.due);
    steps.push([from, t.gapS], [day(t.due), t.gapS]);
  });

  const plot = panel(id, {
    width,
    height,
    marginLeft: left,
    marginRight: right,
    marginTop: top,
    marginBottom: bottom,
    x: { domain: [first - edge, last + edge], axis: null },
    y: { domain: [low, high], axis: null },
    symbol: { type: 'identity' } as unknown as Plot.ScaleOptions,
    marks: [
      ...valueMarks(ticks, (d) => number(d, Math.max(0, -Math.floor(Math.log10(ticks[1]! - ticks[0]!) + 1e-9)))),
      Plot.areaY(ahead, {
        x: (f) => day(f.date),
        y1: 'lowS',
        y2: 'highS',
        fill: 'currentColor',
        fillOpacity: 0.1,
      }),
      Plot.line(ahead, {
        x: (f) => day(f.date),
        y: 'medianS',
        stroke: 'currentColor',
        strokeOpacity: 0.6,
        strokeDasharray: '5 3',
        strokeWidth: 1.2,
      }),
      Plot.line(steps, { stroke: 'var(--soft)', strokeDasharray: '1.5 3', strokeWidth: 1.3 }),
      Plot.ruleY([0], { stroke: 'currentColor' }),
      Plot.line(track, {
        x: (s) => day(s.date),
        y: 'gapS',
        stroke: 'currentColor',
        strokeOpacity: 0.35,
        strokeWidth: 1.2,
      }),
      Plot.ruleX(stands, {
        x: (s) => day(s.date),
        y1: 'lowS',
        y2: 'highS',
        stroke: 'currentColor',
        strokeOpacity: 0.45,
        strokeWidth: 1.4,
      }),
      Plot.axisX(monthStarts(first, last, Math.max(1, Math.floor((width - left - right) / 64))), {
        tickFormat: (d: number) => new Date(d * 86_400_000).toISOString().slice(0, 7),
        tickSize: 0,
        label: null,
        fill: 'var(--soft)',
      }),
    ],
  });
  // Many sessions have smaller marks, so that they stay apart; what counts towards a target lies on top.
  const size = Math.max(1.8, 4.6 * Math.min(1, Math.sqrt(36 / stands.length)));
  const marks = [...stands]
    .sort((a, b) => Number(a.stage === 'track') - Number(b.stage === 'track'))
    .map((s) => mark(s.stage, x(day(s.date)), y(s.gapS), size));
  const titles = stands
    .filter((s) => s.title)
    .map((s) => label(x(day(s.date)) + 9, y(s.gapS) - 7, s.title!, { anchor: 'start', tone: 'strong halo' }));
  const remarks = stands
    .filter((s) => s.remark)
    .map((s) => label(x(day(s.date)) + 9, y(s.gapS) + 4, s.remark!, { anchor: 'start', tone: 'soft halo', size: 11 }));
  const at = targets.map((t) => ({ t, at: y(t.gapS), width: 15 })).sort((a, b) => a.at - b.at);
  const rows = spread(at, top - 8, height - bottom + 4);
  const targetNames = at.map(({ t }, i) => {
    const from = x(t.due === null ? last + edge : day(t.due));
    const lead = `<path d="M${one(from)},${one(y(t.gapS))}H${one(width - right + 2)}L${one(width - right + 8)},${one(rows[i]!)}" stroke="var(--rule)" fill="none"/>`;
    return lead + label(width - right + 11, rows[i]! + 4, t.name, { anchor: 'start', tone: 'soft', size: 11 });
  });
  const title = label(left - (wide ? 26 : 22), 11, 'median gap, s', { anchor: 'start', tone: 'soft' });
  return drawing(
    form,
    [
      {
        markup: plot.markup + targetNames.join('') + marks.join('') + remarks.join('') + titles.join('') + title,
        height,
      },
    ],
    name,
  );
}

/** The sign of a stage: filled disc for track, square for bench, open disc for simulation. */
function mark(stage: Stand['stage'], x: number, y: number, r: number): string {
  const ink = `stroke="currentColor" stroke-width="${one(r * 0.35)}"`;
  const half = r * 0.87;
  if (stage === 'bench')
    return `<rect x="${one(x - half)}" y="${one(y - half)}" width="${one(2 * half)}" height="${one(2 * half)}" fill="var(--page)" ${ink}/>`;
  const fill = stage === 'track' ? 'currentColor' : 'var(--page)';
  return `<circle cx="${one(x)}" cy="${one(y)}" r="${one(r)}" fill="${fill}" ${ink}/>`;
}

/** Firsts of months between two days since 1970, thinned to at most `most`. */
function monthStarts(first: number, last: number, most: number): number[] {
  const out: number[] = [];
  const start = new Date(first * 86_400_000);
  for (let m = 0; m < 600; m += 1) {
    const d = Date.UTC(start.getUTCFullYear(), start.getUTCMonth() + m, 1) / 86_400_000;
    if (d > last) break;
    if (d >= first) out.push(d);
  }
  if (out.length === 0) return [first];
  const stride = Math.ceil(out.length / most);
  return out.filter((_, i) => i % stride === 0);
}
