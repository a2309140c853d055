import { number } from '../words.ts';
import { niceTicks } from './axis.ts';
import { drawing, type Form, fitted, label, one, textWidth } from './drawing.ts';

/** What the figure of a verdict shows, gaps in seconds. */
export interface VerdictShown {
  readonly rows: readonly { readonly title: string; readonly gaps: readonly number[] }[];
  readonly level: { readonly value: number; readonly low: number; readonly high: number } | null;
  readonly limitS: number;
  readonly acceptanceS: number;
}

const LEVEL = 'level, 90\u202f%';

/**
 * Target and evidence on one line: the laps of each run as ticks, the level with its interval, the target as a rule, and
 * between the rule and what is accepted the guard band.
 */
export function verdictFigure(form: Form, name: string, { rows, level, limitS, acceptanceS }: VerdictShown): string {
  const wide = form.name !== 'narrow';
  const side = wide ? Math.min(220, Math.max(...rows.map((r) => textWidth(r.title)), textWidth(LEVEL)) + 18) : 12;
  const [left, right] = [side, form.width - (wide ? 24 : 12)];
  const values = [...rows.flatMap((r) => r.gaps), limitS, acceptanceS, ...(level ? [level.low, level.high] : [])];
  const span = Math.max(...values) - Math.min(...values) || 1;
  const [low, high] = [Math.min(...values) - span * 0.08, Math.max(...values) + span * 0.08];
  const x = (gap: number): number => left + ((gap - low) / (high - low)) * (right - left);
  const top = 30;
  const step = wide ? 30 : 44;
  const all = level ? [...rows, { title: LEVEL, gaps: [] }] : rows;
  const foot = top + all.length * step;
  const y = (row: number): number => top + (row + 0.5) * step + (wide ? 0 : 7);
  const ticks = niceTicks(low, high, wide ? 7 : 4);
  const digits = Math.max(0, -Math.floor(Math.log10(ticks[1]! - ticks[0]!) + 1e-9));
  const out: string[] = [];
  const [from, to] = [x(acceptanceS), x(limitS)];
  if (to - from > 0.5) {
    out.push(
      `<rect x="${one(from)}" y="${top}" width="${one(to - from)}" height="${one(foot - top)}" fill="var(--band)"/>`,
    );
    for (let at = from + 4; at < to; at += 6)
      out.push(`<path d="M${one(at)},${top}V${one(foot)}" stroke="var(--rule)" stroke-width=".7"/>`);
  }
  for (const tick of ticks)
    out.push(
      `<path d="M${one(x(tick))},${one(foot)}v4" stroke="var(--soft)"/>`,
      label(x(tick), foot + 17, number(tick, digits), { tone: 'soft' }),
    );
  out.push(
    `<path d="M${one(left)},${one(foot)}H${one(right)}" stroke="var(--soft)"/>`,
    label(right, foot + 34, 'seconds behind the reference', { anchor: 'end', tone: 'soft' }),
    `<path d="M${one(to)},${top - 4}V${one(foot)}" stroke="currentColor" stroke-width="2"/>`,
  );
  const target = `target ${number(limitS, 2).replace(/\.?0+$/, '')}\u202fs`;
  const early = to + textWidth(target) / 2 > form.width - 4;
  out.push(label(early ? form.width - 4 : to, top - 10, target, { anchor: early ? 'end' : 'middle', tone: 'strong' }));
  all.forEach(({ title, gaps }, i) => {
    const shown = fitted(title, wide ? side - 14 : form.width - 24);
    out.push(
      wide
        ? label(left - 12, y(i) + 4, shown, { anchor: 'end', tone: 'soft' })
        : label(left, y(i) - 14, shown, { anchor: 'start', tone: 'soft halo' }),
    );
    for (const gap of gaps)
      out.push(`<path d="M${one(x(gap))},${one(y(i) - 7)}v14" stroke="currentColor" stroke-width="1.6"/>`);
  });
  if (level) {
    const at = y(all.length - 1);
    out.push(
      `<path d="M${one(x(level.low))},${one(at)}H${one(x(level.high))}" stroke="currentColor" stroke-opacity=".45" stroke-width="5"/>`,
      `<circle cx="${one(x(level.value))}" cy="${one(at)}" r="5" fill="currentColor" stroke="var(--page)" stroke-width="1.5"/>`,
    );
  }
  return drawing(form, [{ markup: out.join(''), height: foot + 40 }], name);
}
