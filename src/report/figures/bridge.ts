import { number, signed } from '../words.ts';
import { niceTicks } from './axis.ts';
import { drawing, type Form, label, one, textWidth } from './drawing.ts';
import { inkOf } from './textures.ts';

/** A step of the way from one lap to the other; an interval where there is one. */
export interface Step {
  readonly title: string;
  readonly gapS: number;
  readonly lowS: number | null;
  readonly highS: number | null;
  /** Not told from noise: drawn open. */
  readonly noise: boolean;
}

/** Pixels by form: height of a row, and what is kept free before and behind the bars. */
const ROOM = {
  wide: { rowHeight: 27, left: 200, right: 70 },
  half: { rowHeight: 25, left: 150, right: 58 },
  narrow: { rowHeight: 40, left: 12, right: 54 },
} as const satisfies Record<Form['name'], unknown>;

/**
 * From the reference lap to another one by steps: each step a bar from where the last one ended, warm where it loses
 * and cool where it gains, its 90 % interval as a pale whisker at its end. The first and last line are the laps.
 */
export function bridge(
  form: Form,
  name: string,
  { steps, from, to, digits }: { steps: readonly Step[]; from: string; to: string; digits: number },
): string {
  // Titles stand before the bars; on a phone above them.
  const wide = form.name !== 'narrow';
  const { rowHeight, left, right } = ROOM[form.name];
  const [top, bottom] = [8, 26];
  const height = top + (steps.length + 2) * rowHeight + bottom;
  const ends: number[] = [];
  for (const { gapS } of steps) ends.push((ends.at(-1) ?? 0) + gapS);
  const total = ends.at(-1) ?? 0;
  const reaches = steps.flatMap(({ gapS, lowS, highS }, i) => {
    const start = ends[i]! - gapS;
    return [start, ends[i]!, ...(lowS === null || highS === null ? [] : [start + lowS, start + highS])];
  });
  const low = Math.min(0, total, ...reaches);
  const high = Math.max(0.01, total, ...reaches);
  const x = (s: number): number => left + ((s - low) / (high - low)) * (form.width - left - right);
  const middle = (row: number): number => top + (row + 0.5) * rowHeight + (wide ? 0 : 7);
  const foot = height - bottom;
  const ticks = niceTicks(low, high, form.name === 'wide' ? 7 : 4);
  const digitsOfTick = ticks.length > 1 && ticks[1]! - ticks[0]! < 0.1 ? 2 : 1;
  const out: string[] = ticks.map(
    (t) =>
      `<path d="M${one(x(t))},${one(top)}V${one(foot)}" stroke="var(--rule)"/>${label(x(t), height - 9, t === 0 ? '0\u202fs' : number(t, digitsOfTick), { tone: 'soft' })}`,
  );
  const title = (row: number, text: string, tone: string): void => {
    const y = middle(row);
    out.push(
      wide
        ? label(left - 14, y + 4, text, { anchor: 'end', tone })
        : label(left, y - 13, text, { anchor: 'start', tone: tone ? `${tone} halo` : 'halo', size: 11.5 }),
    );
  };
  const bar = wide ? 13 : 11;
  const lap = (row: number, text: string, at: number, value: string): void => {
    const y = middle(row);
    title(row, text, 'strong');
    out.push(`<path d="M${one(x(at))},${one(y - bar / 2 - 2)}v${bar + 4}" stroke="currentColor" stroke-width="2.4"/>`);
    if (value) out.push(label(x(at) + 7, y + 4, value, { anchor: 'start', tone: 'strong halo' }));
  };
  lap(0, from, 0, '');
  steps.forEach(({ title: text, gapS, lowS, highS, noise }, i) => {
    const y = middle(i + 1);
    const [a, b] = [x(ends[i]! - gapS), x(ends[i]!)];
    const ink = inkOf(gapS >= 0);
    title(i + 1, text, noise ? 'soft' : '');
    out.push(
      // A hair line down from where the last step ended.
      `<path d="M${one(a)},${one(middle(i) + bar / 2)}V${one(y - bar / 2)}" stroke="var(--soft)" stroke-width=".7"/>`,
      `<rect x="${one(Math.min(a, b))}" y="${one(y - bar / 2)}" width="${one(Math.max(1, Math.abs(b - a)))}" height="${bar}" ${noise ? `fill="none" stroke="${ink}"` : `fill="${ink}"`}/>`,
    );
    let edge = Math.max(a, b);
    if (lowS !== null && highS !== null) {
      const [l, h] = [x(ends[i]! - gapS + lowS), x(ends[i]! - gapS + highS)];
      out.push(
        `<path d="M${one(l)},${one(y)}H${one(h)}M${one(l)},${one(y - 4)}v8M${one(h)},${one(y - 4)}v8" stroke="currentColor" stroke-opacity=".5" stroke-width="1.1" fill="none"/>`,
      );
      edge = Math.max(edge, h);
    }
    const value = signed(gapS, digits);
    const room = form.width - 4 - edge;
    out.push(
      room > textWidth(value) + 8
        ? label(edge + 6, y + 4, value, { anchor: 'start', tone: noise ? 'soft halo' : 'halo' })
        : label(Math.min(a, b) - 6, y + 4, value, { anchor: 'end', tone: noise ? 'soft halo' : 'halo' }),
    );
  });
  const last = steps.length + 1;
  out.push(
    `<path d="M${one(x(total))},${one(middle(last - 1) + bar / 2)}V${one(middle(last) - bar / 2 - 2)}" stroke="var(--soft)" stroke-width=".7"/>`,
  );
  lap(last, to, total, `${signed(total, digits)}\u202fs`);
  return drawing(form, [{ markup: out.join(''), height }], name);
}
