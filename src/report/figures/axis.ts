import * as Plot from '@observablehq/plot';
import type { MapCorner } from '../../campaign/results.ts';
import { metresNumber } from '../words.ts';
import { type Form, fitted, label, one, textWidth } from './drawing.ts';
import { spread } from './spread.ts';

/** The station axis shared by the figures along the lap: where the frame lies and where a station falls. */
export interface StationAxis {
  readonly lengthM: number;
  readonly left: number;
  readonly right: number;
  /** Pixel of a station. */
  x(stationM: number): number;
}

/** Axis from gate to gate in a form. */
export function stationAxis(form: Form, lengthM: number): StationAxis {
  const left = form.name === 'wide' ? 56 : 36;
  const right = form.width - (form.name === 'wide' ? 52 : 12);
  return { lengthM, left, right, x: (stationM) => left + (stationM / lengthM) * (right - left) };
}

/** What Plot needs to draw on that axis. */
export const onAxis = (form: Form, axis: StationAxis): Plot.PlotOptions => ({
  width: form.width,
  marginLeft: axis.left,
  marginRight: form.width - axis.right,
  x: { domain: [0, axis.lengthM], axis: null },
});

/** Stations under the figure, in even steps, with the unit once. */
export function stationMarks(form: Form, axis: StationAxis, tickPadding = 4): Plot.Markish {
  const step = niceStep(axis.lengthM, form.name === 'wide' ? 7 : 4);
  const ticks: number[] = [];
  for (let s = 0; s < axis.lengthM - step * 0.25; s += step) ticks.push(s);
  return Plot.axisX(ticks, {
    tickFormat: (d: number) => (d === 0 ? '0\u202fm' : metresNumber(d)),
    tickSize: 0,
    tickPadding,
    label: null,
    fill: 'var(--soft)',
  });
}

/** Horizontal rules and their numbers, the unit with the topmost. */
export function valueMarks(ticks: readonly number[], format: (value: number) => string): Plot.Markish[] {
  return [
    Plot.gridY(ticks as number[], { stroke: 'var(--rule)', strokeOpacity: 1 }),
    Plot.axisY(ticks as number[], {
      tickFormat: format,
      tickSize: 0,
      tickPadding: 6,
      label: null,
      fill: 'var(--soft)',
    }),
  ];
}

/** Even step of 1, 2 or 5 times a power of ten that gives about `count` parts. */
export function niceStep(range: number, count: number): number {
  const raw = range / Math.max(1, count);
  const power = 10 ** Math.floor(Math.log10(raw));
  const lead = raw / power;
  return (lead < 1.5 ? 1 : lead < 3.5 ? 2 : lead < 7.5 ? 5 : 10) * power;
}

/** Even values that cover a range, ends included where they fall on a step. */
export function niceTicks(low: number, high: number, count: number): number[] {
  const step = niceStep(high - low || 1, count);
  const ticks: number[] = [];
  for (let i = Math.ceil(low / step - 1e-9); i * step <= high + step * 1e-9; i += 1)
    ticks.push(Number((i * step).toPrecision(12)));
  return ticks;
}

/** Stretches of a corner within one lap; two where the gate lies inside it. */
export function stretches(fromM: number, toM: number, lengthM: number): [number, number][] {
  return toM >= fromM
    ? [[fromM, toM]]
    : [
        [fromM, lengthM],
        [0, toM],
      ];
}

/** Corners as quiet bands behind the curves. */
export function cornerBands(corners: readonly MapCorner[], axis: StationAxis): Plot.Markish {
  const bands = corners.flatMap((c) => stretches(c.entryM, c.exitM, axis.lengthM));
  return Plot.rect(bands, { x1: (d: number[]) => d[0], x2: (d: number[]) => d[1], fill: 'var(--band)' });
}

/** Names of the corners above their bands, moved apart where corners are short, with a hair line back to the band. */
export function cornerNames(corners: readonly MapCorner[], axis: StationAxis, y: number, bandTop: number): string {
  const room = (axis.right - axis.left) / Math.max(1, corners.length) - 8;
  const wishes = corners
    .map((corner) => {
      const [from, to] = stretches(corner.entryM, corner.exitM, axis.lengthM).sort(
        (a, b) => b[1] - b[0] - (a[1] - a[0]),
      )[0]!;
      const title = fitted(corner.name, room);
      return { name: title, at: axis.x((from + to) / 2), width: textWidth(title) + 5 };
    })
    .sort((a, b) => a.at - b.at);
  const middles = spread(wishes, axis.left - 8, axis.right + 8);
  return wishes
    .map((wish, i) => {
      const x = middles[i]!;
      const hair =
        Math.abs(x - wish.at) < 3
          ? ''
          : `<path d="M${one(x)},${one(y + 3)}L${one(wish.at)},${one(bandTop)}" stroke="var(--soft)" stroke-width=".6" fill="none"/>`;
      return label(x, y, wish.name, { tone: 'soft' }) + hair;
    })
    .join('');
}
