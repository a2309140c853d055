import * as Plot from '@observablehq/plot';
import type { LapCurves, MapCorner } from '../../campaign/results.ts';
import { number, signed, Z_90 } from '../words.ts';
import { cornerBands, cornerNames, niceTicks, onAxis, stationAxis, stationMarks, valueMarks } from './axis.ts';
import { drawing, type Form, label, panel, textWidth } from './drawing.ts';
import { legible } from './legible.ts';

/**
 * Cumulative gap by station with its 90 % band; corners as quiet bands. Broken where the data are missing (a straight
 * join over the hole) or much less certain than elsewhere on the lap.
 *
 * @param digits digits of the last value, which is written at the end of the line
 */
export function gapCurve(
  form: Form,
  id: string,
  name: string,
  {
    curves,
    corners,
    lengthM,
    digits,
  }: { curves: LapCurves; corners: readonly MapCorner[]; lengthM: number; digits: number },
): string {
  const wide = form.name === 'wide';
  const axis = stationAxis(form, lengthM);
  const every = curves.gapS.map((gap, i) => ({
    s: i * curves.stepM,
    gap: gap ?? Number.NaN,
    doubt: Z_90 * (curves.sigmaS[i] ?? Number.NaN),
  }));
  const known = every.filter((p) => Number.isFinite(p.gap));
  const poor = poorAt(known.map((p) => p.doubt));
  const ends = known.flatMap((p) => (Number.isFinite(p.doubt) ? [p.gap - p.doubt, p.gap + p.doubt] : [p.gap]));
  const [low, high] = span(Math.min(0, ...ends), Math.max(0, ...ends));
  const ticks = niceTicks(low, high, wide ? 5 : 4);
  const digitsOfTick = ticks.length > 1 && ticks[1]! - ticks[0]! < 1 ? (ticks[1]! - ticks[0]! < 0.1 ? 2 : 1) : 0;
  const top = 30;
  const bottom = 22;
  const height = wide ? 250 : 210;
  const y = (value: number): number => top + ((high - value) / (high - low)) * (height - top - bottom);
  const x = (p: { s: number }): number => axis.x(p.s);
  const points = legible(every, [
    (p) => [x(p), y(p.gap)],
    (p) => [x(p), y(p.gap - p.doubt)],
    (p) => [x(p), y(p.gap + p.doubt)],
  ]);
  const certain = points.map((p) => (p.doubt > poor ? { ...p, gap: Number.NaN } : p));
  const doubtful = points.map((p, i) => {
    const near = [points[i - 1], p, points[i + 1]].some((q) => q && q.doubt > poor);
    return near ? p : { ...p, gap: Number.NaN };
  });

  const plot = panel(id, {
    ...onAxis(form, axis),
    height,
    marginTop: top,
    marginBottom: bottom,
    y: { domain: [low, high], axis: null },
    marks: [
      cornerBands(corners, axis),
      ...valueMarks(ticks, (d) => number(d, digitsOfTick)),
      Plot.areaY(points, {
        x: 's',
        y1: (p) => p.gap - p.doubt,
        y2: (p) => p.gap + p.doubt,
        fill: 'currentColor',
        fillOpacity: 0.16,
      }),
      Plot.ruleY([0], { stroke: 'currentColor', strokeWidth: 1 }),
      Plot.line(certain, { x: 's', y: 'gap', stroke: 'currentColor', strokeWidth: 2 }),
      Plot.line(doubtful, { x: 's', y: 'gap', stroke: 'currentColor', strokeWidth: 2, strokeDasharray: '4 3' }),
      Plot.link(holes(points), {
        x1: (h) => h[0]!.s,
        x2: (h) => h[1]!.s,
        y1: (h) => h[0]!.gap,
        y2: (h) => h[1]!.gap,
        stroke: 'currentColor',
        strokeWidth: 1.2,
        strokeDasharray: '1.5 3',
      }),
      stationMarks(form, axis),
    ],
  });
  const last = known.at(-1);
  const overlay = [
    label(axis.left - (wide ? 34 : 24), 11, 'gap, s', { anchor: 'start', tone: 'soft' }),
    cornerNames(corners, axis, 11 + (wide ? 0 : 13), top),
    last
      ? endLabel(axis.x(last.s), y(last.gap), signed(last.gap, digits).replace('+', ''), wide ? form.width : axis.right)
      : '',
  ].join('');
  return drawing(form, [{ markup: plot.markup + overlay, height }], name);
}

/** The last value beside the end of the line, or above it where there is no room, clear of band and rules. */
function endLabel(x: number, y: number, text: string, right: number): string {
  const inside = x + 5 + textWidth(text) > right;
  return label(inside ? x + 4 : x + 5, inside ? y - 7 : y + 4, text, {
    anchor: inside ? 'end' : 'start',
    tone: 'strong halo',
  });
}

/** A range with some air, never empty. */
function span(low: number, high: number): [number, number] {
  const range = Math.max(high - low, 0.05);
  return [low < 0 ? low - range * 0.06 : 0, high + range * 0.1];
}

/** Half-width above which the curve counts as poor: three times the median, and at least 20 ms. */
function poorAt(doubts: readonly number[]): number {
  const sorted = doubts.filter(Number.isFinite).sort((a, b) => a - b);
  return Math.max(0.02, 3 * (sorted[sorted.length >> 1] ?? Number.POSITIVE_INFINITY));
}

/** Known points on both sides of each stretch without data. */
function holes<P extends { gap: number }>(points: readonly P[]): [P, P][] {
  const out: [P, P][] = [];
  let before = -1;
  points.forEach((point, i) => {
    if (!Number.isFinite(point.gap)) return;
    if (before >= 0 && i - before > 1) out.push([points[before]!, point]);
    before = i;
  });
  return out;
}
