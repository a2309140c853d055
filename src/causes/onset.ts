import { blend, blendAll, differ } from './blend.ts';
import type { Cause } from './cause.ts';

/** When braking ends and how it is built up: metres beyond what the deceleration and the corner's speed need. */
export const onset: Cause<'onset'> = {
  key: 'onset',
  group: 'entry',
  offShare: 0.01,
  differs: (a, b) => a.releaseM !== b.releaseM || differ(a.modulation, b.modulation),
  mix: (a, b, weight, into) => {
    into.releaseM = blend(a.releaseM, b.releaseM, weight);
    into.modulation = blendAll(a.modulation, b.modulation, weight);
  },
  says: (a, b, { mode }) => (mode === 'braked' ? { earlyM: b.releaseM - a.releaseM } : null),
};
