import { blend, blendAll, differ } from './blend.ts';
import type { Cause } from './cause.ts';

/** How tightly the ridden way bends: what speed a given use of grip allows, and how much drive goes with it. */
export const lineShape: Cause<'lineShape'> = {
  key: 'lineShape',
  group: 'line',
  offShare: 0.04,
  differs: (a, b) => a.meanBend !== b.meanBend || differ(a.bend, b.bend),
  mix: (a, b, weight, into) => {
    into.meanBend = blend(a.meanBend, b.meanBend, weight);
    into.bend = blendAll(a.bend, b.bend, weight);
  },
  says: (a, b, { mode }) =>
    mode === 'braked' || mode === 'cornered' ? { radiusM: 1 / a.meanBend, referenceRadiusM: 1 / b.meanBend } : null,
};
