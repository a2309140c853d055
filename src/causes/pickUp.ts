import { blend } from './blend.ts';
import type { Cause } from './cause.ts';

/** Where the rider begins to drive out of the corner. */
export const pickUp: Cause<'pickUp'> = {
  key: 'pickUp',
  group: 'exit',
  offShare: 0.02,
  differs: (a, b) => a.pickUpM !== b.pickUpM,
  mix: (a, b, weight, into) => {
    into.pickUpM = blend(a.pickUpM, b.pickUpM, weight);
  },
  says: (a, b, { mode }) => (mode === 'driven' ? null : { lateM: a.pickUpM - b.pickUpM }),
};
