import type { ChannelName } from '../read/recording.ts';
import type { Trace } from './trace.ts';

/** The part of a run between two times on its clock, with the counts and the quality of the whole. */
export function windowOf(trace: Trace, fromS: number, toS: number): Trace {
  const [a, b] = rowsBetween(trace.timeS, fromS, toS);
  const [c, d] = rowsBetween(trace.fixes.timeS, fromS, toS);
  const cut = new Map<ChannelName, Float64Array | null>();
  const { fixes, clock } = trace;
  return {
    ...trace,
    clock: { ...clock, timeS: clock.timeS.subarray(a, b), row: clock.row.subarray(a, b) },
    timeS: trace.timeS.subarray(a, b),
    speedMps: trace.speedMps?.subarray(a, b) ?? null,
    fixes: {
      timeS: fixes.timeS.subarray(c, d),
      eastM: fixes.eastM.subarray(c, d),
      northM: fixes.northM.subarray(c, d),
      sigmaM: fixes.sigmaM.subarray(c, d),
    },
    channel(name) {
      if (!cut.has(name)) cut.set(name, trace.channel(name)?.subarray(a, b) ?? null);
      return cut.get(name) ?? null;
    },
  };
}

/** Index range [first, end) of rising times within [fromS, toS]. */
function rowsBetween(timeS: Float64Array, fromS: number, toS: number): [number, number] {
  let first = 0;
  while (first < timeS.length && timeS[first]! < fromS) first++;
  let end = first;
  while (end < timeS.length && timeS[end]! <= toS) end++;
  return [first, end];
}
