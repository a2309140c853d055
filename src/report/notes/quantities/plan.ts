import { MEDIAN_DIGITS } from '../../medians.ts';
import { overLaps } from '../overLaps.ts';
import type { Quantity } from '../quantity.ts';
import { standsOf } from '../stands.ts';
import { SECONDS } from './gap.ts';

function part(name: string, key: 'planS' | 'executionS', means: string): Quantity {
  return {
    name,
    means,
    keys: [],
    example: () => '',
    read: (ask) =>
      overLaps(
        ask,
        SECONDS,
        // The plan is summed cell by cell, so the boundaries are part of it.
        standsOf(ask.of, { reference: true, phaseMap: true }),
        (lap) => (lap[key] === null ? null : { value: lap[key], sigma: lap.sigmaS }),
        MEDIAN_DIGITS,
      ),
  };
}

/** How much of the gap was planned. */
export const plan = part(
  'plan',
  'planS',
  'The part of the gap that the robot had planned: planned time minus reference time.',
);

/** How much of the gap the machine added to the plan. */
export const execution = part(
  'execution',
  'executionS',
  'The part of the gap that came on top of the plan: ridden time minus planned time.',
);
