import type { Cause } from './cause.ts';

/** How hard it brakes: the deceleration that the braking distance follows from. */
export const intensity: Cause<'intensity'> = {
  key: 'intensity',
  group: 'entry',
  offShare: 0.06,
  differs: (a, b) => a.decelerationMps2 !== b.decelerationMps2,
  mix: (a, b, weight, into) => {
    // Distance goes with one over deceleration.
    into.decelerationMps2 =
      weight === 1
        ? a.decelerationMps2
        : weight === 0
          ? b.decelerationMps2
          : 1 / (weight / a.decelerationMps2 + (1 - weight) / b.decelerationMps2);
  },
  says: (a, b, { mode }) =>
    mode === 'braked' ? { decelerationMps2: a.decelerationMps2, referenceMps2: b.decelerationMps2 } : null,
};
