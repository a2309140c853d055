import { blendAll, differ } from './blend.ts';
import type { Cause } from './cause.ts';

/** What the description does not hold: rounded changes from one control to the next, noise. */
export const residual: Cause<'residual'> = {
  key: 'residual',
  group: 'residual',
  offShare: 0.04,
  differs: (a, b) => differ(a.residual, b.residual),
  mix: (a, b, weight, into) => {
    into.residual = blendAll(a.residual, b.residual, weight);
  },
  says: () => null,
};
