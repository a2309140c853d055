import { overLaps } from '../overLaps.ts';
import type { Quantity } from '../quantity.ts';
import { standsOf } from '../stands.ts';

/** Gate to gate. */
export const time: Quantity = {
  name: 'time',
  means: 'Lap time, gate to gate.',
  keys: [],
  example: () => '',
  read: (ask) =>
    overLaps(
      ask,
      { inside: 's', shown: 's', digits: 3, lapTime: true },
      // Which laps count is told by the reference lap: they have to be of its kind.
      standsOf(ask.of, { reference: ask.of.lap === null }),
      ({ timeS }) => (timeS === null ? null : { value: timeS, sigma: null }),
      2,
    ),
};
