import { blend, blendAll, differ } from './blend.ts';
import type { Cause } from './cause.ts';

/** How much of the grip is used in the corner: lateral acceleration at the slowest place, and the speed around it. */
export const grip: Cause<'grip'> = {
  key: 'grip',
  group: 'apex',
  offShare: 0.04,
  differs: (a, b) => a.lateralMps2 !== b.lateralMps2 || differ(a.mid, b.mid),
  mix: (a, b, weight, into) => {
    into.lateralMps2 = blend(a.lateralMps2, b.lateralMps2, weight);
    into.mid = blendAll(a.mid, b.mid, weight);
  },
  says: (a, b, { mode }) =>
    mode === 'braked' || mode === 'cornered'
      ? { lateralMps2: a.lateralMps2, referenceMps2: b.lateralMps2 }
      : mode === 'rolled'
        ? { keptShare: Math.sqrt(1 + least(a.mid)), referenceShare: Math.sqrt(1 + least(b.mid)) }
        : null,
};

function least(values: Float64Array): number {
  return values.reduce((low, v) => Math.min(low, v), Number.POSITIVE_INFINITY);
}
