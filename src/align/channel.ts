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
  if (raw.length > 0 && run.row[0] !== -1 && !raw.includes(Number.NaN))
    return run.row.length === raw.length ? raw : gather(raw, run.row);
  const places = new Int32Array(raw.length);
  let count = 0;
  for (let i = 0; i < raw.length; i++) if (!Number.isNaN(raw[i]!)) places[count++] = i;
  if (count === 0) return null;
  const keep = places.subarray(0, count);
  const at = gather(timeS, keep);
  const values = gather(raw, keep);
  if (channelKind(name)?.between !== 'step') return linearMany(at, values, run.timeS);
  const out = new Float64Array(run.timeS.length);
  for (let i = 0, k = 0; i < out.length; i++) {
    while (k + 1 < at.length && at[k + 1]! <= run.timeS[i]!) k++;
    out[i] = values[k]!;
  }
  return out;
}
