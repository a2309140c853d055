import { blend } from './blend.ts';
import type { Cause } from './cause.ts';

/** The speed that a lap brings along from the stretch before. */
export const carry: Cause<'carry'> = {
  key: 'carry',
  group: 'carry',
  offShare: 0.04,
  differs: (a, b) => a.energy0 !== b.energy0,
  mix: (a, b, weight, into) => {
    into.energy0 = blend(a.energy0, b.energy0, weight);
  },
  says: (a, b) => ({ slowerMps: Math.sqrt(2 * b.energy0) - Math.sqrt(2 * a.energy0) }),
};
