import { lapTime } from '../words.ts';
import { niceTicks, valueMarks } from './axis.ts';
import { drawing, type Form, label, one, panel } from './drawing.ts';

/** One lap of the day in the order ridden. */
export interface LapMark {
  readonly run: string;
  readonly lap: number;
  readonly timeS: number;
  readonly state: 'counted' | 'not counted' | 'invalid';
}

/**
 * The laps of a session in the order ridden, runs apart: counted laps filled, the others open, invalid ones crossed.
 * The grey line is the reference lap, the dashed one the median of the counted laps.
 */
export function lapTimes(
  form: Form,
  id: string,
  name: string,
  { laps, referenceS, medianS }: { laps: readonly LapMark[]; referenceS: number | null; medianS: number | null },
): string {
  const wide = form.name === 'wide';
  const runs = [...new Set(laps.map((l) => l.run))];
  const counted = laps.filter((l) => l.state === 'counted').map((l) => l.timeS);
  const base = counted.length ? counted : laps.map((l) => l.timeS);
  // Out laps are far slower; they may not squash the laps that matter, so they stand at the upper edge with their time.
  const spreadS = Math.max(...base) - Math.min(...base);
  const ceiling = Math.max(...base) + Math.max(2, spreadS * 1.2);
  const inside = laps.map((l) => Math.min(l.timeS, ceiling));
  const high = Math.max(...inside);
  // A reference far below would squash the laps as well: it is then named at the lower edge.
  const far = referenceS !== null && Math.min(...inside) - referenceS > 2 * Math.max(0.5, high - Math.min(...inside));
  const low = Math.min(...inside, far ? Number.POSITIVE_INFINITY : (referenceS ?? Number.POSITIVE_INFINITY));
  const air = Math.max(0.3, (high - low) * 0.08);
  const left = wide ? 62 : 56;
  const right = wide ? 84 : 14;
  const height = wide ? 230 : 210;
  const [top, bottom] = [24, 42];
  const slots = laps.length + runs.length;
  const position = new Map<LapMark, number>();
  let slot = 0.5;
  let before = '';
  for (const lap of laps) {
    if (before && before !== lap.run) slot += 1;
    before = lap.run;
    position.set(lap, slot);
    slot += 1;
  }
  const x = (p: number): number => left + (p / Math.max(1, slots - 0.5)) * (form.width - left - right);
  const y = (v: number): number => top + ((high + air - v) / (high - low + 2 * air)) * (height - top - bottom);
  const ticks = niceTicks(low - air, high + air, 4);
  const plot = panel(id, {
    width: form.width,
    height,
    marginLeft: left,
    marginRight: right,
    marginTop: top,
    marginBottom: bottom,
    x: { domain: [0, Math.max(1, slots - 0.5)], axis: null },
    y: { domain: [low - air, high + air], axis: null },
    marks: [...valueMarks(ticks, (d) => lapTime(d, ticks[1]! - ticks[0]! < 1 ? 1 : 0))],
  });
  const lines = [
    far
      ? farBelow(height - bottom)
      : referenceS === null
        ? ''
        : rule(y(referenceS), left, form.width - right, 'var(--reference)', '') + sideWord('reference', y(referenceS)),
    medianS === null
      ? ''
      : rule(y(medianS), left, form.width - right, 'currentColor', '5 4') + sideWord('median', y(medianS)),
  ];
  function farBelow(at: number): string {
    const text = `reference ${lapTime(referenceS)}`;
    const x = form.width - right - 4;
    return `<path d="M${one(x)},${one(at - 14)}v10m-3,-3l3,3l3,-3" stroke="var(--soft)" fill="none"/>${label(x - 8, at - 5, text, { anchor: 'end', tone: 'soft halo', size: 11 })}`;
  }
  function sideWord(text: string, at: number): string {
    return wide
      ? label(form.width - right + 8, at + 4, text, { anchor: 'start', tone: 'soft' })
      : label(form.width - right, at - 4, text, { anchor: 'end', tone: 'soft halo', size: 11 });
  }
  const dots = laps.map((lap) => {
    const [cx, over] = [x(position.get(lap)!), lap.timeS > ceiling];
    const cy = y(Math.min(lap.timeS, ceiling));
    const fill = lap.state === 'counted' ? 'currentColor' : 'var(--page)';
    const disc = `<circle cx="${one(cx)}" cy="${one(cy)}" r="4.6" fill="${fill}" stroke="currentColor" stroke-width="1.4"/>`;
    const cross =
      lap.state === 'invalid'
        ? `<path d="M${one(cx - 3)},${one(cy - 3)}l6,6m0,-6l-6,6" stroke="currentColor" stroke-width="1.2"/>`
        : '';
    const arrow = over
      ? `<path d="M${one(cx)},${one(cy - 7)}v-8m-3,3l3,-3l3,3" stroke="currentColor" fill="none"/>`
      : '';
    return (
      disc +
      cross +
      arrow +
      (laps.length <= (wide ? 40 : 14)
        ? label(cx, height - bottom + 15, String(lap.lap), { tone: 'soft', size: 11 })
        : '')
    );
  });
  const runNames = runs.map((run) => {
    const at = laps.filter((l) => l.run === run).map((l) => x(position.get(l)!));
    const [a, b] = [Math.min(...at), Math.max(...at)];
    const title = run.length * 6.5 > Math.max(60, b - a + 20) ? `run ${runs.indexOf(run) + 1}` : run;
    return `<path d="M${one(a - 6)},${height - 22}H${one(b + 6)}" stroke="var(--soft)" stroke-width=".8"/>${label((a + b) / 2, height - 7, title, { tone: 'soft', size: 11 })}`;
  });
  const title = label(left - (wide ? 44 : 42), 11, 'lap time', { anchor: 'start', tone: 'soft' });
  return drawing(
    form,
    [{ markup: plot.markup + lines.join('') + dots.join('') + runNames.join('') + title, height }],
    name,
  );
}

const rule = (y: number, from: number, to: number, ink: string, dash: string): string =>
  `<path d="M${one(from)},${one(y)}H${one(to)}" stroke="${ink}" stroke-width="1.4"${dash ? ` stroke-dasharray="${dash}"` : ''}/>`;
