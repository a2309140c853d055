import type { CircuitView, MapCorner } from '../../campaign/results.ts';
import { eventsOfLaps, eventsOfReference, onLap } from '../cornerEvents.ts';
import { EVENTS } from '../figures/techniqueMarks.ts';
import type { Results } from '../readResults.ts';
import { dayOfNow, robotDays } from '../robotDays.ts';
import { summary } from '../summary.ts';
import { trimmed } from './csv.ts';
import type { DataTable } from './dataTable.ts';

/** Where on the lap the events of a corner lie now: the reference rider's laps, and those of the robot's latest day. */
export function placesData(results: Results, circuit: CircuitView, corner: MapCorner): DataTable {
  const now = dayOfNow(robotDays(results, circuit.id));
  const riders = [
    { rider: 'reference', session: circuit.reference?.session ?? null, events: eventsOfReference(circuit, corner) },
    { rider: 'robot', session: now?.session.session ?? null, events: eventsOfLaps(circuit, corner, now?.laps ?? []) },
  ];
  return {
    columns: ['rider', 'session', 'event', 'laps', 'median [m]', 'first [m]', 'last [m]'],
    rows: riders.flatMap(({ rider, session, events }) =>
      EVENTS.flatMap(({ key, title }) => {
        const range = summary(events[key]);
        const station = (value: number) => trimmed(onLap(value, circuit.lengthM), 2);
        return range
          ? [[rider, session, title, range.n, station(range.median), station(range.low), station(range.high)]]
          : [];
      }),
    ),
  };
}
