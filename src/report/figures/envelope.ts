import { g } from '../../units.ts';
import { kmhNumber, number } from '../words.ts';
import { niceTicks } from './axis.ts';
import { drawing, type Form, label, line, one } from './drawing.ts';

/** The demonstrated boundary at a speed: lateral and along the path, m/s², from most braking round to most drive. */
export interface Boundary {
  readonly speedMps: number;
  readonly points: readonly (readonly [acrossMps2: number, alongMps2: number])[];
}

/** What was shown in a range of speeds, m/s². */
export interface Shown {
  readonly driveMps2: number;
  readonly brakingMps2: number;
  readonly lateralMps2: number;
}

const DASHES = ['', '6 3', '2 3'];

/**
 * Combined acceleration: across to the right, drive up, braking down. One line a speed for the fitted boundary, marks at
 * the axes for what was ridden in each range of speed.
 */
export function envelope(
  form: Form,
  _id: string,
  name: string,
  { boundaries, shown }: { boundaries: readonly Boundary[]; shown: readonly Shown[] },
): string {
  const wide = form.name === 'wide';
  const [left, right, top, bottom] = [wide ? 150 : 40, wide ? 250 : 14, 26, 34];
  const height = wide ? 380 : 330;
  const all = boundaries.flatMap(({ points }) => points);
  const most = Math.max(0.1, ...all.map(([x]) => g(x)), ...shown.map(({ lateralMps2 }) => g(lateralMps2))) * 1.05;
  const high = Math.max(0.1, ...all.map(([, y]) => g(y)), ...shown.map(({ driveMps2 }) => g(driveMps2))) * 1.1;
  const low = Math.min(-0.1, ...all.map(([, y]) => g(y)), ...shown.map(({ brakingMps2 }) => -g(brakingMps2))) * 1.1;
  const x = (v: number): number => left + (v / most) * (form.width - left - right);
  const y = (v: number): number => top + ((high - v) / (high - low)) * (height - top - bottom);
  const out: string[] = [];
  for (const t of niceTicks(0, most, wide ? 6 : 4))
    out.push(
      `<path d="M${one(x(t))},${one(top)}V${one(height - bottom)}" stroke="var(--rule)"/>${label(x(t), height - bottom + 16, number(t, 1), { tone: 'soft' })}`,
    );
  for (const t of niceTicks(low, high, 6))
    out.push(
      `<path d="M${one(left)},${one(y(t))}H${one(form.width - right)}" stroke="${t === 0 ? 'currentColor' : 'var(--rule)'}"/>${label(left - 6, y(t) + 4, number(t, 1), { anchor: 'end', tone: 'soft' })}`,
    );
  out.push(
    label(left, top - 10, 'drive, g', { anchor: 'start', tone: 'soft' }),
    label(form.width - right - 4, height - bottom - 6, 'braking', { anchor: 'end', tone: 'soft halo' }),
    label(form.width - right, height - bottom + 31, 'across, g', { anchor: 'end', tone: 'soft' }),
  );
  boundaries.forEach(({ speedMps, points }, i) => {
    const path = line(points.map(([across, along]) => [x(g(across)), y(g(along))] as const));
    const dash = DASHES[i % DASHES.length];
    out.push(
      `<path d="${path}" fill="none" stroke="currentColor" stroke-width="1.8"${dash ? ` stroke-dasharray="${dash}"` : ''}/>`,
    );
    const [kx, ky] = wide ? [form.width - right + 24, top + 14 + 20 * i] : [left + 90 + 84 * i, top - 10];
    out.push(
      `<path d="M${one(kx)},${one(ky - 4)}h22" stroke="currentColor" stroke-width="1.8"${dash ? ` stroke-dasharray="${dash}"` : ''}/>`,
      label(kx + 27, ky, `${kmhNumber(speedMps, 0)}${wide || i === 0 ? '\u202fkm/h' : ''}`, {
        anchor: 'start',
        size: 11.5,
      }),
    );
  });
  for (const { driveMps2, brakingMps2, lateralMps2 } of shown) {
    const tick = (px: number, py: number, along: boolean): string =>
      `<path d="M${one(px)},${one(py)}${along ? 'h7' : 'v7'}" stroke="var(--soft)" stroke-width="2"/>`;
    if (driveMps2 > 0) out.push(tick(left, y(g(driveMps2)), true));
    if (brakingMps2 > 0) out.push(tick(left, y(-g(brakingMps2)), true));
    if (lateralMps2 > 0) out.push(tick(x(g(lateralMps2)), y(0) - 3.5, false));
  }
  return drawing(form, [{ markup: out.join(''), height }], name);
}
