import { MEASURES, type Measure, stationDifference } from '../../techniqueTable.ts';
import { lapsOf, overLaps } from '../overLaps.ts';
import { circuitOf, cornerOf } from '../place.ts';
import type { Quantity, Scale } from '../quantity.ts';
import { standsOf } from '../stands.ts';

const STATION: Scale = { inside: 'm', shown: 'm', digits: 0 };
const SPEED: Scale = { inside: 'm/s', shown: 'km/h', digits: 1 };
const PUSH: Scale = { inside: 'm/s2', shown: '[g]', digits: 2 };

const WORDS: Readonly<Record<string, readonly [name: string, means: string, scale: Scale]>> = {
  brakeOnsetM: ['brake-on', 'Station where the rider begins to brake for a corner.', STATION],
  peakDecelerationMps2: ['peak-braking', 'Strongest deceleration in the braking for a corner.', PUSH],
  brakeReleaseM: ['brake-off', 'Station where the brake is let go.', STATION],
  slowestMps: ['slowest', 'Lowest speed in a corner.', SPEED],
  maxLeanRad: ['lean', 'Greatest lean in a corner.', { inside: 'rad', shown: 'deg', digits: 0 }],
  coastingS: ['coasting', 'Time in a corner with neither brake nor throttle.', { inside: 's', shown: 's', digits: 2 }],
  pickUpM: ['pick-up', 'Station where the throttle is picked up.', STATION],
  fullDriveM: ['full-drive', 'Station from which the throttle is fully open.', STATION],
  exitMps: ['exit-speed', 'Speed at the end of a corner.', SPEED],
};

function quantityOf(measure: Measure): Quantity[] {
  const words = WORDS[measure.key];
  if (!words) return [];
  const [name, means, scale] = words;
  return [
    {
      name,
      means,
      keys: [{ name: 'corner', means: 'the corner as the phase map names it' }],
      example: (corner) => `corner=${corner}`,
      read(ask) {
        const circuit = circuitOf(ask.results, ask.of.session);
        const corner = cornerOf(circuit, ask.given.needed('corner', 'the corner that is meant')).name;
        const value = (technique: Parameters<Measure['of']>[0] | undefined): number | null =>
          technique ? measure.of(technique) : null;
        const own = (lap: ReturnType<typeof lapsOf>[number]): number | null =>
          value(lap.technique.find((t) => t.corner === corner));
        // Stations near the gate: all on one side of it, so that a median means something.
        const first =
          lapsOf(ask.results, ask.of)
            .map(own)
            .find((v) => v !== null) ?? 0;
        const beside = (v: number): number =>
          measure.station ? first + stationDifference(v, first, circuit.lengthM) : v;
        // A rule is shared with the reference, so that its log tells from which channel an event is read.
        const reading = overLaps(ask, scale, standsOf(ask.of, { reference: true, phaseMap: true }), (lap) => {
          const v = own(lap);
          return v === null ? null : { value: beside(v), sigma: null };
        });
        return measure.station ? { ...reading, period: circuit.lengthM } : reading;
      },
    },
  ];
}

/** What was measured of the rider in a corner, a quantity each. */
export const technique: readonly Quantity[] = MEASURES.flatMap(quantityOf);
