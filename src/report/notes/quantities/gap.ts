import { MEDIAN_DIGITS } from '../../medians.ts';
import { overLaps } from '../overLaps.ts';
import type { Quantity, Scale } from '../quantity.ts';
import { standsOf } from '../stands.ts';

/** Differences of time. */
export const SECONDS: Scale = { inside: 's', shown: 's', digits: 3 };

/** Robot minus reference over a whole lap. */
export const gap: Quantity = {
  name: 'gap',
  means: 'Time of the lap minus that of the reference lap; above zero where the robot was slower.',
  keys: [],
  example: () => '',
  read: (ask) =>
    overLaps(
      ask,
      SECONDS,
      standsOf(ask.of, { reference: true, phaseMap: 'there' }),
      ({ gapS, sigmaS }) => (gapS === null ? null : { value: gapS, sigma: sigmaS }),
      MEDIAN_DIGITS,
    ),
};
