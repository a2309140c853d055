import type { Place } from '../place.ts';
import type { Quantity, Scale } from '../quantity.ts';
import { standsOf } from '../stands.ts';

const NUMBER: Scale = { inside: '1', shown: '1', digits: 0 };

function count(name: string, means: string, reference: boolean, of: (place: Place) => number): Quantity {
  return {
    name,
    means,
    keys: [],
    example: () => '',
    read: (ask) => ({
      value: of(ask.of),
      why: '',
      scale: NUMBER,
      sigma: null,
      range: null,
      stands: standsOf(ask.of, { reference }),
    }),
  };
}

const runs = ({ session, run }: Place) => (run ? [run] : session.runs);
const laps = (place: Place) => (place.lap ? [place.lap] : runs(place).flatMap((run) => run.laps));

/** Whole numbers of a session or a run. */
export const counts: readonly Quantity[] = [
  count('laps', 'How many laps were ridden, whole or not.', false, (of) => laps(of).length),
  count(
    'counted',
    'How many laps count: valid, whole, of the kind that compares, not under a cap.',
    true,
    (of) => laps(of).filter((lap) => lap.counted).length,
  ),
  count(
    'interventions',
    'How often the robot was taken out of control, as the session file says.',
    false,
    (of) =>
      runs(of)
        .flatMap((run) => run.incidents)
        .filter((incident) => incident.kind === 'intervention').length,
  ),
];
