import * as Plot from '@observablehq/plot';
import type { CornerTechnique, LapCurves, MapCorner } from '../../campaign/results.ts';
import { kmh } from '../../units.ts';
import { number, signed } from '../words.ts';
import { cornerBands, cornerNames, niceTicks, onAxis, stationAxis, stationMarks, valueMarks } from './axis.ts';
import { drawing, type Form, label, one, panel } from './drawing.ts';
import { legible } from './legible.ts';

/** What the figure is drawn from; the reference's parts are null or empty where there is no reference. */
export interface SpeedPair {
  readonly curves: LapCurves;
  readonly corners: readonly MapCorner[];
  readonly lengthM: number;
  /** Spread of the reference laps, on the grid of the line. */
  readonly band: {
    readonly stepM: number;
    readonly lowMps: readonly (number | null)[];
    readonly highMps: readonly (number | null)[];
  } | null;
  readonly technique: readonly CornerTechnique[];
  readonly referenceTechnique: readonly CornerTechnique[];
}

/**
 * Both speeds by station with the area between them coloured by who is faster, their difference in a strip of its own
 * scale below, and under that where each rider began to brake and picked the throttle up.
 */
export function speedPair(form: Form, id: string, name: string, data: SpeedPair): string {
  const { curves, corners, lengthM, band } = data;
  const axis = stationAxis(form, lengthM);
  const wide = form.name === 'wide';
  const every = curves.speedMps.map((speed, i) => {
    const v = speed === null ? Number.NaN : kmh(speed);
    const reference = curves.referenceMps[i];
    const u = reference === null || reference === undefined ? Number.NaN : kmh(reference);
    return { s: i * curves.stepM, v, u, difference: v - u };
  });
  const everySpread = (band?.lowMps ?? []).map((low, i) => {
    const high = band?.highMps[i];
    return {
      s: i * band!.stepM,
      low: low === null ? Number.NaN : kmh(low),
      high: high === null || high === undefined ? Number.NaN : kmh(high),
    };
  });
  const compared = every.some((p) => Number.isFinite(p.difference));
  const all = [...every.flatMap((p) => [p.v, p.u]), ...everySpread.flatMap((p) => [p.low, p.high])].filter(
    Number.isFinite,
  );
  const [low, high] = [Math.min(...all), Math.max(...all)];
  const top = 30;
  const height = (wide ? 230 : 190) + (compared ? 0 : 16);
  const common = onAxis(form, axis);
  const [floor, ceiling] = [Math.max(0, low - 12), high + 8];
  const scale = (height - top - 6) / (ceiling - floor);
  const points = legible(every, [(p) => [axis.x(p.s), p.v * scale], (p) => [axis.x(p.s), p.u * scale]]);
  const spreadOfReference = legible(everySpread, [
    (p) => [axis.x(p.s), p.low * scale],
    (p) => [axis.x(p.s), p.high * scale],
  ]);

  /** The speed of one where it is the faster, with one point more on either side; elsewhere no area at all. */
  const faster =
    (one: 'u' | 'v', other: 'u' | 'v') =>
    (p: (typeof points)[number], i: number): number =>
      points.slice(Math.max(0, i - 1), i + 2).some((q) => q[one] > q[other]) ? Math.max(p[one], p[other]) : Number.NaN;

  const speeds = panel(`${id}-a`, {
    ...common,
    height,
    marginTop: top,
    marginBottom: compared ? 6 : 22,
    y: { domain: [floor, ceiling], axis: null },
    marks: [
      cornerBands(corners, axis),
      ...valueMarks(niceTicks(floor, ceiling, 4), (d) => number(d)),
      Plot.areaY(points, { x: 's', y1: 'v', y2: faster('u', 'v'), fill: 'var(--loss)', fillOpacity: 0.28 }),
      Plot.areaY(points, { x: 's', y1: 'u', y2: faster('v', 'u'), fill: 'var(--gain)', fillOpacity: 0.32 }),
      Plot.areaY(spreadOfReference, { x: 's', y1: 'low', y2: 'high', fill: 'var(--reference)', fillOpacity: 0.35 }),
      Plot.line(points, { x: 's', y: 'u', stroke: 'var(--reference)', strokeWidth: 1.3 }),
      Plot.line(points, { x: 's', y: 'v', stroke: 'currentColor', strokeWidth: 2 }),
      ...(compared ? [] : [stationMarks(form, axis)]),
    ],
  });
  const titles = [
    label(axis.left - (wide ? 34 : 24), 11, 'km/h', { anchor: 'start', tone: 'soft' }),
    cornerNames(corners, axis, 11 + (wide ? 0 : 13), top),
  ].join('');
  const panels = [{ markup: speeds.markup + titles, height }];
  if (compared) panels.push(strip(form, `${id}-b`, every, corners, axis, common), events(form, data, axis));
  return drawing(form, panels, name);
}

type Axis = ReturnType<typeof stationAxis>;

/** The difference of the speeds, robot minus reference. */
function strip(
  form: Form,
  id: string,
  every: readonly { s: number; difference: number }[],
  corners: readonly MapCorner[],
  axis: Axis,
  common: Plot.PlotOptions,
): { markup: string; height: number } {
  const values = every.map((p) => p.difference).filter(Number.isFinite);
  const [low, high] = [Math.min(-2, ...values), Math.max(2, ...values)];
  const height = form.name === 'wide' ? 112 : 104;
  const ticks = niceTicks(low, high, 3);
  const scale = (height - 26) / (1.05 * (high - low));
  const points = legible(every, [(p) => [axis.x(p.s), p.difference * scale]]);
  const plot = panel(id, {
    ...common,
    height,
    marginTop: 20,
    marginBottom: 6,
    y: { domain: [low * 1.05, high * 1.05], axis: null },
    marks: [
      cornerBands(corners, axis),
      ...valueMarks(ticks, (d) => signed(d, 0)),
      Plot.areaY(points, {
        x: 's',
        y1: () => 0,
        y2: (p) => Math.min(0, p.difference),
        fill: 'var(--loss)',
        fillOpacity: 0.75,
      }),
      Plot.areaY(points, {
        x: 's',
        y1: () => 0,
        y2: (p) => Math.max(0, p.difference),
        fill: 'var(--gain)',
        fillOpacity: 0.75,
      }),
      Plot.ruleY([0], { stroke: 'currentColor', strokeWidth: 1 }),
    ],
  });
  const title = label(axis.left - (form.name === 'wide' ? 34 : 24), 13, 'difference, km/h', {
    anchor: 'start',
    tone: 'soft',
  });
  return { markup: plot.markup + title, height };
}

/** Where each of the two began to brake and picked the throttle up: reference above (thin), this lap below (bold). */
function events(
  form: Form,
  { technique, referenceTechnique }: SpeedPair,
  axis: Axis,
): { markup: string; height: number } {
  const rows = [
    { title: 'brake', of: (t: CornerTechnique) => t.brakeOnsetM },
    { title: 'pick-up', of: (t: CornerTechnique) => t.pickUpM },
  ].filter(({ of }) => [...technique, ...referenceTechnique].some((t) => of(t) !== null));
  const wide = form.name === 'wide';
  const indent = wide ? 0 : 0;
  const parts = rows.map(({ title, of }, i) => {
    const y = 4 + i * (wide ? 22 : 34) + (wide ? 0 : 14);
    const marks = [
      ...referenceTechnique
        .map(of)
        .filter((s) => s !== null)
        .map((s) => `<path d="M${one(axis.x(s))},${y}v7" stroke="var(--soft)" stroke-width="1.2"/>`),
      ...technique
        .map(of)
        .filter((s) => s !== null)
        .map((s) => `<path d="M${one(axis.x(s))},${y + 8}v7" stroke="currentColor" stroke-width="2.4"/>`),
    ].join('');
    const rule = `<path d="M${one(axis.left)},${one(y + 7.5)}H${one(axis.right)}" stroke="var(--rule)"/>`;
    const word = wide
      ? label(axis.left - 6, y + 11.5, title, { anchor: 'end', tone: 'soft', size: 11 })
      : label(axis.left + indent, y - 3, title, { anchor: 'start', tone: 'soft', size: 11 });
    return rule + word + marks;
  });
  const height = rows.length * (wide ? 22 : 34) + 4;
  const ticks = panel('x', {
    ...onAxis(form, axis),
    height: 26,
    marginTop: 2,
    marginBottom: 22,
    marks: [stationMarks(form, axis)],
  });
  return { markup: `${parts.join('')}<g transform="translate(0,${height})">${ticks.markup}</g>`, height: height + 26 };
}
