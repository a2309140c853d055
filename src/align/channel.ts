import { gather } from '../numbers/gather.ts';
import { linearMany } from '../numbers/interpolate.ts';
import { type ChannelName, channelKind } from '../read/recording.ts';
import type { AlignedRun } from './alignRun.ts';

const known = new WeakMap<AlignedRun, Map<ChannelName, Float64Array | null>>();

/**
 * A channel on the timeline of an aligned run. Channels logged more slowly than the rows are filled between their
 * samples: numbers on a straight line, states held.
 *
 * @returns (n,) in SI, or null where the log has no such channel
 */
export function onTimeline(run: AlignedRun, name: ChannelName): Float64Array | null {
  let channels = known.get(run);
  if (!channels) known.set(run, (channels = new Map()));
  let values = channels.get(name);
  if (values === undefined) channels.set(name, (values = filled(run, name)));
  return values;
}

function filled(run: AlignedRun, name: ChannelName): Float64Array | null {
  const raw = run.trace.channel(name);
  if (raw === null) return null;
  const { timeS } = run.trace;
  const keep: number[] = [];
  for (let i = 0; i < raw.length; i++) if (!Number.isNaN(raw[i]!)) keep.push(i);
  if (keep.length === 0) return null;
  if (keep.length === raw.length && run.row[0] !== -1)
    return run.row.length === raw.length ? raw : gather(raw, run.row);
  const at = gather(timeS, keep);
  const values = gather(raw, keep);
  if (channelKind(name)?.between !== 'step') return linearMany(at, values, run.timeS);
  let k = 0;
  return run.timeS.map((t) => {
    while (k + 1 < at.length && at[k + 1]! <= t) k++;
    return values[k]!;
  });
}
