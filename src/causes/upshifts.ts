import type { AlignedLap } from '../align/alignLap.ts';
import { onTimeline } from '../align/channel.ts';

const known = new WeakMap<AlignedLap, readonly number[]>();

/** Stations of a lap at which a higher gear came in; null without the channel. Neutral between two gears is no gear. */
export function upshifts(lap: AlignedLap): readonly number[] | null {
  const gear = onTimeline(lap.run, 'gear');
  if (!gear) return null;
  let stations = known.get(lap);
  if (!stations) known.set(lap, (stations = found(lap, gear)));
  return stations;
}

function found({ run, first, end, gateM }: AlignedLap, gear: Float64Array): number[] {
  const out: number[] = [];
  let last = Number.NaN;
  for (let i = Math.max(0, first - 1); i < Math.min(end + 1, gear.length); i++) {
    const now = gear[i]!;
    if (!(now > 0)) continue;
    const stationM = run.stationM[i]! - gateM;
    if (now > last && !Number.isNaN(stationM)) out.push(stationM);
    last = now;
  }
  return out;
}
