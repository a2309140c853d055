import { signed } from '../words.ts';
import { niceTicks } from './axis.ts';
import { drawing, type Form, fitted, label, one, textWidth } from './drawing.ts';
import { groundOf, inkOf, type Phase, texture } from './textures.ts';

/** A part of the lap, in the order of the lap. */
interface Part {
  readonly corner: string;
  readonly phase: Phase;
  /** Gap now less gap before, seconds. */
  readonly byS: number;
}

/** How many of the largest are written out. */
const WRITTEN = { wide: 6, narrow: 3, half: 3 } as const;

/** By how much each part of the lap moved, a bar a part and a group of bars a corner; what is slower now stands up. */
export function movedBars(form: Form, name: string, parts: readonly Part[]): string {
  const wide = form.name === 'wide';
  const [left, right, top, height] = [wide ? 56 : 36, form.width - 8, 30, wide ? 200 : 170];
  const floor = height - 34;
  const least = Math.min(0, ...parts.map((p) => p.byS));
  const most = Math.max(0, ...parts.map((p) => p.byS));
  const reach = Math.max(most - least, 0.002) * 1.15;
  const y = (seconds: number): number => top + ((most + reach * 0.06 - seconds) / reach) * (floor - top);
  const corners = [...new Set(parts.map((p) => p.corner))];
  const gap = wide ? 10 : 3;
  const step = (right - left - gap * (corners.length - 1)) / parts.length;
  const ticks = niceTicks(least, most, 3);
  const digits = Math.min(3, Math.max(0, -Math.floor(Math.log10(ticks[1] === undefined ? 1 : ticks[1] - ticks[0]!))));
  const out: string[] = ticks.flatMap((tick) => [
    `<path d="M${left},${one(y(tick))}H${right}" stroke="${tick === 0 ? 'currentColor' : 'var(--rule)'}"/>`,
    label(left - 6, y(tick) + 4, signed(tick, digits), { anchor: 'end', tone: 'soft' }),
  ]);
  const bars = parts.map((part, i) => {
    const x = left + i * step + corners.indexOf(part.corner) * gap;
    return { part, x1: x + (wide ? 1 : 0.4), x2: x + step - (wide ? 1 : 0.4), end: y(part.byS) };
  });
  for (const { part, x1, x2, end } of bars) {
    const ink = inkOf(part.byS >= 0);
    out.push(
      `<rect x="${one(x1)}" y="${one(Math.min(end, y(0)))}" width="${one(x2 - x1)}" height="${one(Math.abs(end - y(0)))}" fill="${ink}" fill-opacity="${groundOf(part.phase)}" stroke="${ink}" stroke-width=".8"/>`,
    );
  }
  out.push(
    texture(
      bars.map(({ part, x1, x2, end }) => ({ phase: part.phase, loses: part.byS >= 0, a: [x1, y(0)], b: [x2, end] })),
    ),
  );
  for (const corner of corners) {
    const of = bars.filter(({ part }) => part.corner === corner);
    const middle = (of[0]!.x1 + of.at(-1)!.x2) / 2;
    out.push(label(middle, height - 8, fitted(corner, of.length * step + gap), { tone: 'soft' }));
  }
  const taken: number[] = [];
  const half = textWidth('+0.000') / 2;
  for (const { part, x1, x2, end } of bars.toSorted((a, b) => Math.abs(b.part.byS) - Math.abs(a.part.byS))) {
    const x = Math.min(Math.max((x1 + x2) / 2, half), form.width - half);
    if (taken.length >= WRITTEN[form.name] || taken.some((other) => Math.abs(other - x) < 2 * half + 4)) continue;
    taken.push(x);
    out.push(label(x, part.byS >= 0 ? end - 5 : end + 14, signed(part.byS, 3), { tone: 'strong' }));
  }
  out.push(label(left - (wide ? 34 : 24), 11, 'seconds more than before', { anchor: 'start', tone: 'soft' }));
  return drawing(form, [{ markup: out.join(''), height }], name);
}
