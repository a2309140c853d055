import { number, signed } from '../words.ts';
import { niceTicks } from './axis.ts';
import { drawing, type Form, label, one } from './drawing.ts';
import { groundOf, inkOf, texture } from './textures.ts';

/** What a corner's phases lost in one session: medians over its counted laps, with the range. */
export interface TrendColumn {
  readonly title: string;
  readonly parts: readonly {
    readonly phase: 'braking' | 'apex' | 'drive';
    readonly gapS: number;
    readonly lowS: number;
    readonly highS: number;
  }[];
}

const TITLES = { braking: 'braking', apex: 'apex', drive: 'drive' } as const;

/**
 * Three small figures side by side, one a phase, on one scale: a bar a session with the range over its laps.
 *
 * @param columns sessions by date
 */
export function cornerTrend(
  form: Form,
  name: string,
  { columns, digits }: { columns: readonly TrendColumn[]; digits: number },
): string {
  const wide = form.name === 'wide';
  const all = columns.flatMap((c) => c.parts.flatMap((p) => [p.lowS, p.highS, p.gapS]));
  const low = Math.min(0, ...all);
  const high = Math.max(0.01, ...all);
  const height = wide ? 220 : 190;
  const [top, bottom, left] = [34, 30, wide ? 44 : 34];
  const gutter = wide ? 36 : 10;
  const room = (form.width - left - 10 - 2 * gutter) / 3;
  const y = (v: number): number => top + ((high * 1.12 - v) / (high * 1.12 - low * 1.12)) * (height - top - bottom);
  const ticks = niceTicks(low * 1.12, high * 1.12, 4);
  const digitsOfTick = ticks.length > 1 && ticks[1]! - ticks[0]! < 0.1 ? 2 : 1;
  const out: string[] = [label(left - (wide ? 26 : 24), 11, 'seconds lost', { anchor: 'start', tone: 'soft' })];
  (['braking', 'apex', 'drive'] as const).forEach((phase, k) => {
    const from = left + k * (room + gutter);
    for (const t of ticks) {
      out.push(`<path d="M${one(from)},${one(y(t))}h${one(room)}" stroke="var(--rule)"/>`);
      if (k === 0) out.push(label(left - 6, y(t) + 4, number(t, digitsOfTick), { anchor: 'end', tone: 'soft' }));
    }
    out.push(label(from + room / 2, top - 8, TITLES[phase], { tone: 'strong' }));
    const step = room / Math.max(columns.length, 1);
    const width = Math.min(26, step * 0.62);
    columns.forEach((column, i) => {
      const part = column.parts.find((p) => p.phase === phase);
      const x = from + step * (i + 0.5);
      if (part) {
        const [a, b] = [y(Math.max(0, part.gapS)), y(Math.min(0, part.gapS))];
        out.push(
          `<rect x="${one(x - width / 2)}" y="${one(a)}" width="${one(width)}" height="${one(Math.max(0.5, b - a))}" fill="${inkOf(part.gapS >= 0)}" fill-opacity="${groundOf(phase)}" stroke="${inkOf(part.gapS >= 0)}" stroke-width=".8"/>`,
          texture([{ phase, loses: part.gapS >= 0, a: [x - width / 2, a], b: [x + width / 2, b] }]),
          `<path d="M${one(x)},${one(y(part.lowS))}V${one(y(part.highS))}" stroke="currentColor" stroke-opacity=".55" stroke-width="1.2"/>`,
        );
        if (i === columns.length - 1 || columns.length <= 6)
          if (wide)
            out.push(
              label(x, y(Math.max(0, part.highS, part.gapS)) - 4, signed(part.gapS, digits).replace('+', ''), {
                tone: i === columns.length - 1 ? 'strong' : 'soft',
                size: 11,
              }),
            );
      } else out.push(label(x, y(0) - 4, '–', { tone: 'soft' }));
      const every = Math.ceil((wide ? 44 : 62) / step);
      if ((columns.length - 1 - i) % every === 0)
        out.push(label(x, height - 10, column.title, { tone: 'soft', size: 10.5 }));
    });
    out.push(`<path d="M${one(from)},${one(y(0))}h${one(room)}" stroke="currentColor"/>`);
  });
  return drawing(form, [{ markup: out.join(''), height }], name);
}
