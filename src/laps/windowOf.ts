import { rowsWithin } from '../numbers/rowsWithin.ts';
import type { ChannelName } from '../read/recording.ts';
import type { Trace } from './trace.ts';

/** The part of a run between two times on its clock, with the counts and the quality of the whole. */
export function windowOf(trace: Trace, fromS: number, toS: number): Trace {
  const [a, b] = rowsWithin(trace.timeS, fromS, toS);
  const [c, d] = rowsWithin(trace.fixes.timeS, fromS, toS);
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
