import * as Plot from '@observablehq/plot';
import type { LedgerCell } from '../../campaign/results.ts';
import { ledgerRows } from '../cells.ts';
import { signed, Z_90 } from '../words.ts';
import { niceTicks, onAxis, stationAxis, stationMarks, valueMarks } from './axis.ts';
import { drawing, type Form, fitted, label, one, panel, textWidth } from './drawing.ts';
import { spread } from './spread.ts';
import { groundOf, inkOf, PHASE_LETTERS, texture } from './textures.ts';

/** One block: a cell of the ledger with how far its loss may be off, in seconds. */
export interface Block {
  readonly corner: string;
  readonly phase: LedgerCell['phase'];
  readonly part?: LedgerCell['part'];
  readonly fromM: number;
  readonly toM: number;
  readonly gapS: number;
  /** Ends of the whisker, seconds: a 90 % interval, or the range over laps. */
  readonly lowS: number;
  readonly highS: number;
}

/** A cell of one lap as a block with its 90 % interval. */
export const blockOf = (cell: LedgerCell): Block => ({
  corner: cell.corner,
  phase: cell.phase,
  part: cell.part,
  fromM: cell.fromM,
  toM: cell.toM,
  gapS: cell.gapS,
  lowS: cell.gapS - Z_90 * cell.sigmaS,
  highS: cell.gapS + Z_90 * cell.sigmaS,
});

/**
 * The lap unrolled: each phase a block as wide as it is long on the ground and as high as its loss per 100 m, so that
 * area is seconds. Gains hang below the line. Whiskers are the blocks' intervals.
 *
 * @param id prefix of the ids inside, unique on the page
 * @param digits digits of the seconds that are written
 */
export function skyline(
  form: Form,
  id: string,
  name: string,
  {
    blocks,
    lengthM,
    digits,
    sums,
  }: {
    blocks: readonly Block[];
    lengthM: number;
    digits: number;
    /** What each corner's window lost, in station order, where that is not the sum of its blocks. */
    sums?: readonly number[];
  },
): string {
  const drawn = blocks
    .filter((b) => b.toM - b.fromM > 0.05)
    .map((b) => ({ ...b, per: 100 / (b.toM - b.fromM) }))
    .map((b) => ({ ...b, rate: b.gapS * b.per }));
  const axis = stationAxis(form, lengthM);
  const wide = form.name === 'wide';
  const top = 34;
  const [low, high] = limits(drawn, lengthM);
  const windows = cornerSums(blocks, sums);
  const rows = wide ? 50 : 34;
  // Numbers below the deepest block stay clear of the corners' brackets.
  const hang = low < 0 ? 14 : 0;
  const bottom = rows + 20 + hang;
  const height = (wide ? 210 : 170) + top + bottom;
  const y = (value: number): number => top + ((high - value) / (high - low)) * (height - top - bottom);
  const ticks = niceTicks(low, high, wide ? 4 : 3);
  const digitsOfRate = Math.min(4, Math.max(0, -Math.floor(Math.log10(ticks[1]! - ticks[0]!))));

  const plot = panel(id, {
    ...onAxis(form, axis),
    height,
    marginTop: top,
    marginBottom: bottom,
    y: { domain: [low, high], axis: null },
    color: { type: 'identity' },
    marks: [
      ...valueMarks(ticks, (d) => signed(d, digitsOfRate).replace('+', '')),
      Plot.rect(drawn, {
        x1: 'fromM',
        x2: 'toM',
        y1: () => 0,
        y2: (b) => Math.min(Math.max(b.rate, low), high),
        fill: (b) => inkOf(b.gapS >= 0),
        fillOpacity: (b) => groundOf(b.phase),
        stroke: (b) => inkOf(b.gapS >= 0),
        strokeWidth: 0.8,
      }),
      stationMarks(form, axis, rows + 2 + hang),
    ],
  });

  const clamped = (value: number): number => y(Math.min(Math.max(value, low), high));
  const overlay = [
    texture(
      drawn.map((b) => ({
        phase: b.phase,
        loses: b.gapS >= 0,
        a: [axis.x(b.fromM), y(0)],
        b: [axis.x(b.toM), clamped(b.rate)],
      })),
    ),
    whiskers(drawn, axis.x, clamped),
    `<path d="M${one(axis.left)},${one(y(0))}H${one(axis.right)}" stroke="currentColor"/>`,
    label(axis.left - (wide ? 34 : 24), 11, 'seconds lost per 100\u202fm', { anchor: 'start', tone: 'soft' }),
    ...letters(drawn, axis.x, y),
    ...torn(drawn, axis.x, y, low, high),
    ...values(drawn, axis, y, low, high, digits, wide ? 9 : 4),
    ...cornerRow(windows, axis, height - bottom + 12 + hang, wide, digits),
  ].join('');
  return drawing(form, [{ markup: plot.markup + overlay, height }], name);
}

type Drawn = Block & { readonly per: number; readonly rate: number };

/** How far the loss of each block may be off. */
function whiskers(drawn: readonly Drawn[], x: (s: number) => number, y: (v: number) => number): string {
  const path = drawn
    .filter((b) => x(b.toM) - x(b.fromM) > 4.5)
    .map((b) => `M${one(x((b.fromM + b.toM) / 2))},${one(y(b.lowS * b.per))}V${one(y(b.highS * b.per))}`)
    .join('');
  return path && `<path d="${path}" stroke="currentColor" stroke-opacity=".55" stroke-width="1.1" fill="none"/>`;
}

/**
 * Limits of the height. A sliver of a phase can lose a lot per 100 m and next to nothing in seconds; it may not squash
 * all others, so heights count only as far as blocks of at least 8 m or a tenth of the largest loss reach.
 */
function limits(drawn: readonly Drawn[], lengthM: number): [number, number] {
  const most = Math.max(0.001, ...drawn.map((b) => Math.abs(b.gapS)));
  const fair = drawn.filter((b) => b.toM - b.fromM >= 8 || Math.abs(b.gapS) > most / 10);
  const broad = fair.filter((b) => b.toM - b.fromM > lengthM / 150);
  const high = Math.max(
    0.005,
    ...fair.map((b) => b.rate),
    ...broad.map((b) => Math.min(b.highS * b.per, b.rate * 1.6)),
  );
  const low = Math.min(0, ...fair.map((b) => b.rate), ...broad.map((b) => Math.max(b.lowS * b.per, -high * 0.25)));
  return [low < 0 ? low * 1.12 : 0, high * 1.08];
}

/** Where a block is higher than the figure: an open notch at its end. */
function torn(
  drawn: readonly Drawn[],
  x: (s: number) => number,
  y: (v: number) => number,
  low: number,
  high: number,
): string[] {
  return drawn
    .filter((b) => b.rate > high || b.rate < low)
    .map((b) => {
      const [x1, x2] = [x(b.fromM), x(b.toM)];
      const at = b.rate > high ? y(high) + 5 : y(low) - 5;
      return `<path d="M${one(x1 - 1)},${one(at + 2)}L${one(x2 + 1)},${one(at - 2)}" stroke="var(--page)" stroke-width="2.5"/>`;
    });
}

/** The letter of the phase inside blocks that have room for it. */
function letters(drawn: readonly Drawn[], x: (s: number) => number, y: (v: number) => number): string[] {
  return drawn
    .filter((b) => x(b.toM) - x(b.fromM) > 15 && Math.abs(y(b.rate) - y(0)) > 17)
    .map((b) => {
      const cx = (x(b.fromM) + x(b.toM)) / 2;
      const cy = b.gapS >= 0 ? y(0) - 8 : y(0) + 9;
      const tile = `<rect x="${one(cx - 5.5)}" y="${one(cy - 6)}" width="11" height="12" rx="2" fill="var(--page)"/>`;
      return tile + label(cx, cy + 3.7, PHASE_LETTERS[b.phase], { size: 10 });
    });
}

/**
 * Seconds above the blocks that matter most, as many as find room. A block in the shadow of a higher neighbour has its
 * number beside that neighbour, with a hair line that leads back.
 */
function values(
  drawn: readonly Drawn[],
  axis: { x(s: number): number; left: number; right: number },
  y: (v: number) => number,
  low: number,
  high: number,
  digits: number,
  most: number,
): string[] {
  const taken: Box[] = [];
  const out: string[] = [];
  const bars = drawn.map((b) => {
    const end = y(Math.min(Math.max(b.rate, low), high));
    const whisker = y(Math.min(Math.max(b.gapS >= 0 ? b.highS * b.per : b.lowS * b.per, low), high));
    return {
      b,
      x1: axis.x(b.fromM),
      x2: axis.x(b.toM),
      end,
      edge: b.gapS >= 0 ? Math.min(end, whisker) : Math.max(end, whisker),
    };
  });
  for (const bar of [...bars].sort((p, q) => Math.abs(q.b.gapS) - Math.abs(p.b.gapS))) {
    if (out.length >= most) break;
    const { b, x1, x2, end, edge } = bar;
    const up = b.gapS >= 0;
    const text = signed(b.gapS, digits).replace('+', '');
    if (Number(text.replace('−', '')) === 0) continue;
    const half = textWidth(text) / 2;
    const middle = (x1 + x2) / 2;
    const inside = (x: number): number => Math.min(Math.max(x, axis.left + half), axis.right - half);
    const boxAt = (cx: number, base: number): Box => [cx - half - 2, base - 11, cx + half + 2, base + 2];
    const free = (box: Box): boolean =>
      !taken.some((t) => box[0] < t[2] && t[0] < box[2] && box[1] < t[3] && t[1] < box[3]) &&
      !bars.some(
        (o) =>
          o !== bar &&
          o.b.gapS >= 0 === up &&
          box[0] + 2 < o.x2 &&
          o.x1 < box[2] - 2 &&
          (up ? o.edge < box[3] - 1 : o.edge > box[1] + 1),
      );
    const base = up ? edge - 4 : edge + 12;
    const over = inside(middle);
    // A neighbour that is hardly higher is passed over.
    const raised = Math.min(
      base,
      ...bars
        .filter((o) => up && over - half < o.x2 && o.x1 < over + half && o.edge > edge - 12)
        .map((o) => o.edge - 4),
    );
    // Upwards first, then to the side of a narrow block, where its upper end is.
    const beside = up && x2 - x1 < 2 * half ? [x2 + half + 9, x1 - half - 9] : [];
    const spot = [
      [over, base] as const,
      [over, raised] as const,
      ...beside.filter((x) => inside(x) === x).map((x) => [x, end + 9] as const),
    ].find(([x, at]) => free(boxAt(x, at)));
    if (!spot) continue;
    const [cx, at] = spot;
    taken.push(boxAt(cx, at));
    const away = Math.abs(cx - middle) > half + 4;
    const hair = away
      ? `<path d="M${one(cx > middle ? x2 : x1)},${one(end + 3)}L${one(cx > middle ? cx - half - 2 : cx + half + 2)},${one(at - 4)}" stroke="var(--soft)" stroke-width=".7"/>`
      : '';
    out.push(hair + label(cx, at, text, { tone: 'strong' }));
  }
  return out;
}

type Box = readonly [left: number, top: number, right: number, bottom: number];

interface Window {
  readonly title: string;
  readonly fromM: number;
  readonly toM: number;
  readonly gapS: number;
}

/** What each corner's window lost, in station order; a piece that the gate cuts off is called after the gate. */
function cornerSums(blocks: readonly Block[], sums?: readonly number[]): Window[] {
  const ordered = [...blocks].sort((p, q) => p.fromM - q.fromM || p.toM - q.toM);
  const rows = ledgerRows(ordered);
  const known = sums?.length === rows.length ? sums : undefined;
  return rows.map(({ corner, piece, cells }, i) => ({
    title: piece === 'corner' ? corner : 'gate',
    fromM: cells[0]!.fromM,
    toM: cells.at(-1)!.toM,
    gapS: known?.[i] ?? cells.reduce((sum, c) => sum + c.gapS, 0),
  }));
}

/** Brackets, names and sums of the corners below the line; names move apart where windows are short. */
function cornerRow(
  windows: readonly Window[],
  axis: { x(s: number): number; left: number; right: number },
  y: number,
  wide: boolean,
  digits: number,
): string[] {
  const room = Math.max(textWidth('gate'), (axis.right - axis.left) / Math.max(1, windows.length) - 4);
  const named = windows.map((w) => {
    const sum = signed(w.gapS, digits).replace('+', '');
    const title = fitted(w.title, room);
    const width = Math.max(textWidth(title), wide ? textWidth(sum) : 0) + (wide ? 7 : 4);
    return { w, title, sum, at: (axis.x(w.fromM) + axis.x(w.toM)) / 2, width };
  });
  const middles = spread(named, axis.left - 14, axis.right + 12);
  return named.map(({ w, title, sum, at }, i) => {
    const [x1, x2] = [axis.x(w.fromM) + 1, Math.max(axis.x(w.toM) - 1, axis.x(w.fromM) + 1.5)];
    const x = middles[i]!;
    const lead = `<path d="M${one(x1)},${one(y)}H${one(x2)}M${one(at)},${one(y)}L${one(x)},${one(y + 7)}" stroke="var(--soft)" stroke-width=".8" fill="none"/>`;
    return lead + label(x, y + 18, title, { tone: 'soft' }) + (wide ? label(x, y + 33, sum, { tone: 'strong' }) : '');
  });
}
