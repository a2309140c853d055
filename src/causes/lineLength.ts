import { blendAll, differ } from './blend.ts';
import type { Cause } from './cause.ts';

/** How long the ridden way is. */
export const lineLength: Cause<'lineLength'> = {
  key: 'lineLength',
  group: 'line',
  offShare: 0.04,
  differs: (a, b) => differ(a.pathPerStation, b.pathPerStation),
  mix: (a, b, weight, into) => {
    into.pathPerStation = blendAll(a.pathPerStation, b.pathPerStation, weight);
  },
  says: (a, b, { stepM }) => ({
    longerM: a.pathPerStation.reduce((sum, psi, i) => sum + (psi - b.pathPerStation[i]!) * stepM, 0),
  }),
};
