import type { CompareData } from '../../report/compareData.ts';
import {
  cornerNames,
  niceStep,
  niceTicks,
  type StationAxis,
  stationAxis,
  stretches,
} from '../../report/figures/axis.ts';
import { drawing, FORMS, type Form, label, line, one, type Panel, textWidth } from '../../report/figures/drawing.ts';
import { digitsFor, metresNumber, number, signed, Z_90 } from '../../report/words.ts';
import { kmh } from '../../units.ts';
import type { Difference } from './difference.ts';

type Forms = readonly [wide: string, narrow: string];
const inBoth = (draw: (form: Form) => string): Forms => [draw(FORMS.wide), draw(FORMS.narrow)];

const TOP = 30;
const BOTTOM = 22;

/** The gap of one lap to another by station with its doubt, in both forms, as the gap curve of a lap’s page is drawn. */
export function gapBetween(of: Difference, data: CompareData, name: string): Forms {
  return inBoth((form) => {
    const wide = form.name === 'wide';
    const axis = stationAxis(form, data.lengthM);
    const height = wide ? 230 : 200;
    const doubt = (i: number): number => Z_90 * of.sigmaS[i]!;
    const ends = [...of.gapS].flatMap((g, i) => (Number.isNaN(g) ? [] : [g - doubt(i), g + doubt(i)]));
    const [least, most] = [Math.min(0, ...ends), Math.max(0, ...ends)];
    const air = Math.max(most - least, 0.05);
    const [low, high] = [least < 0 ? least - air * 0.08 : 0, most + air * 0.1];
    const y = (v: number): number => TOP + ((high - v) / (high - low)) * (height - TOP - BOTTOM);
    const ticks = clearOf(height - BOTTOM, niceTicks(low, high, 4), y);
    const step = ticks.length > 1 ? ticks[1]! - ticks[0]! : 1;
    const at = (i: number, v: number): [number, number] => [axis.x(of.stationM[i]!), y(v)];
    const band = runs(of.gapS, ([from, to]) =>
      line([
        ...range(from, to).map((i) => at(i, of.gapS[i]! - doubt(i))),
        ...range(from, to)
          .reverse()
          .map((i) => at(i, of.gapS[i]! + doubt(i))),
      ]),
    );
    const curve = runs(of.gapS, ([from, to]) => line(range(from, to).map((i) => at(i, of.gapS[i]!))));
    const last = of.gapS.findLastIndex((g) => !Number.isNaN(g));
    const markup = [
      bends(data, axis, TOP, height - BOTTOM),
      rules(ticks, axis, y, (v) => number(v, step < 0.1 ? 2 : step < 1 ? 1 : 0)),
      `<path d="${band}" fill="currentColor" fill-opacity=".16"/>`,
      `<path d="M${one(axis.left)},${one(y(0))}H${one(axis.right)}" stroke="currentColor"/>`,
      `<path d="${curve}" fill="none" stroke="currentColor" stroke-width="2" stroke-linejoin="round"/>`,
      stations(form, axis, height),
      unit(form, axis, 'gap, s', 11),
      cornerNames(corners(data), axis, wide ? 11 : 24, TOP),
      last < 0 ? '' : endLabel(form, axis, at(last, of.gapS[last]!), signed(of.totalS, digitsFor(of.totalSigmaS))),
    ].join('');
    return drawing(form, [{ markup, height }], name);
  });
}

/** The value of the lap times beside the end of the line, or above it where there is no room. */
function endLabel(form: Form, axis: StationAxis, [x, y]: readonly [number, number], text: string): string {
  const inside = x + 5 + textWidth(text) > (form.name === 'wide' ? form.width : axis.right);
  return label(inside ? x + 4 : x + 5, inside ? y - 7 : y + 4, text, {
    anchor: inside ? 'end' : 'start',
    tone: 'strong halo',
  });
}

/**
 * Both speeds by station, the area between them by who is faster, and their difference in a strip of its own scale.
 * The first lap is a solid line; the second is dashed, or thin and grey where it is the reference lap.
 */
export function speedsOfTwo(of: Difference, data: CompareData, name: string): Forms {
  return inBoth((form) => {
    const axis = stationAxis(form, data.lengthM);
    const { stationM } = of;
    const v = of.speedMps.map(kmh);
    const u = of.otherMps.map(kmh);
    const apart = v.map((value, i) => value - u[i]!);
    return drawing(form, [speeds(), strip()], name);

    function speeds(): Panel {
      const height = form.name === 'wide' ? 230 : 190;
      const all = [...v, ...u].filter(Number.isFinite);
      const [low, high] = [Math.max(0, Math.min(...all) - 12), Math.max(...all) + 8];
      const y = (value: number): number => TOP + ((high - value) / (high - low)) * (height - TOP - 6);
      const markup = [
        bends(data, axis, TOP, height - 6),
        rules(niceTicks(low, high, 4), axis, y, (value) => number(value)),
        area(v, (i) => Math.max(v[i]!, u[i]!), y, 'loss', 0.28),
        area(u, (i) => Math.max(v[i]!, u[i]!), y, 'gain', 0.32),
        speed(u, y, of.second.reference ? REFERENCE : of.first.reference ? ROBOT : SECOND),
        speed(v, y, of.first.reference ? REFERENCE : ROBOT),
        unit(form, axis, 'km/h', 11),
        cornerNames(corners(data), axis, form.name === 'wide' ? 11 : 24, TOP),
      ].join('');
      return { markup, height };
    }

    function strip(): Panel {
      const height = form.name === 'wide' ? 128 : 120;
      const foot = height - BOTTOM;
      const all = apart.filter(Number.isFinite);
      const [low, high] = [Math.min(-2, ...all) * 1.05, Math.max(2, ...all) * 1.05];
      const y = (value: number): number => 20 + ((high - value) / (high - low)) * (foot - 20);
      const zero = apart.map((d) => (Number.isNaN(d) ? d : 0));
      const markup = [
        bends(data, axis, 20, foot),
        rules(clearOf(foot, niceTicks(low, high, 3), y), axis, y, (value) => signed(value, 0)),
        area(zero, (i) => Math.min(0, apart[i]!), y, 'loss', 0.75),
        area(zero, (i) => Math.max(0, apart[i]!), y, 'gain', 0.75),
        `<path d="M${one(axis.left)},${one(y(0))}H${one(axis.right)}" stroke="currentColor"/>`,
        stations(form, axis, height),
        unit(form, axis, 'difference, km/h', 13),
      ].join('');
      return { markup, height };
    }

    function area(
      edge: Float64Array,
      other: (i: number) => number,
      y: (value: number) => number,
      ink: 'loss' | 'gain',
      opacity: number,
    ): string {
      const both = edge.map((value, i) => value + other(i));
      const d = runs(both, ([from, to]) =>
        line([
          ...range(from, to).map((i): [number, number] => [axis.x(stationM[i]!), y(edge[i]!)]),
          ...range(from, to)
            .reverse()
            .map((i): [number, number] => [axis.x(stationM[i]!), y(other(i))]),
        ]),
      );
      return `<path d="${d}" fill="var(--${ink})" fill-opacity="${opacity}"/>`;
    }

    function speed(values: Float64Array, y: (value: number) => number, ink: string): string {
      const d = runs(values, ([from, to]) => line(range(from, to).map((i) => [axis.x(stationM[i]!), y(values[i]!)])));
      return `<path d="${d}" fill="none" stroke-linejoin="round" ${ink}/>`;
    }
  });
}

const ROBOT = 'stroke="currentColor" stroke-width="2"';
const SECOND = 'stroke="currentColor" stroke-width="1.4" stroke-dasharray="5 3"';
const REFERENCE = 'stroke="var(--reference)" stroke-width="1.3"';

const range = (from: number, to: number): number[] => Array.from({ length: to - from + 1 }, (_, i) => from + i);

/** Draws each stretch of known values; a hole stays open. */
function runs(values: Float64Array, draw: (stretch: readonly [from: number, to: number]) => string): string {
  const out: string[] = [];
  let from = -1;
  for (let i = 0; i <= values.length; i += 1) {
    const known = i < values.length && Number.isFinite(values[i]);
    if (known && from < 0) from = i;
    if (!known && from >= 0) {
      if (i - from > 1) out.push(draw([from, i - 1]));
      from = -1;
    }
  }
  return out.join('');
}

type NamedCorners = Parameters<typeof cornerNames>[0];
const corners = (data: CompareData): NamedCorners => data.bends as NamedCorners;

function bends(data: CompareData, axis: StationAxis, top: number, foot: number): string {
  return data.bends
    .flatMap((b) => stretches(b.entryM, b.exitM, data.lengthM))
    .map(
      ([from, to]) =>
        `<rect x="${one(axis.x(from))}" y="${top}" width="${one(axis.x(to) - axis.x(from))}" height="${one(foot - top)}" fill="var(--band)"/>`,
    )
    .join('');
}

/** Without the numbers at the very foot, which would stand in those of the stations. */
const clearOf = (foot: number, ticks: readonly number[], y: (value: number) => number): number[] =>
  ticks.filter((tick) => tick === 0 || y(tick) < foot - 8);

const rules = (
  ticks: readonly number[],
  axis: StationAxis,
  y: (value: number) => number,
  format: (value: number) => string,
): string =>
  ticks
    .map(
      (tick) =>
        `<path d="M${one(axis.left)},${one(y(tick))}H${one(axis.right)}" stroke="var(--rule)"/>${label(axis.left - 6, y(tick) + 4, format(tick), { anchor: 'end', tone: 'soft' })}`,
    )
    .join('');

function stations(form: Form, axis: StationAxis, height: number): string {
  const step = niceStep(axis.lengthM, form.name === 'wide' ? 7 : 4);
  const out: string[] = [];
  for (let s = 0; s < axis.lengthM - step * 0.25; s += step)
    out.push(label(axis.x(s), height - 9, s === 0 ? '0\u202fm' : metresNumber(s), { tone: 'soft' }));
  return out.join('');
}

const unit = (form: Form, axis: StationAxis, text: string, y: number): string =>
  label(axis.left - (form.name === 'wide' ? 34 : 24), y, text, { anchor: 'start', tone: 'soft' });
