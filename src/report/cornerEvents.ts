import type { CircuitView, CornerTechnique, MapCorner } from '../campaign/results.ts';
import { EVENTS, type EventKey } from './figures/techniqueMarks.ts';
import type { LapOf } from './readResults.ts';
import { stationDifference } from './techniqueTable.ts';

/** Stations of each event of a corner over some laps, metres. */
export type CornerEvents = Readonly<Record<EventKey, readonly number[]>>;

/**
 * Events of one corner as stations that do not jump at the gate: all near the corner's own entry, so below zero or
 * beyond the lap's length where the gate lies between.
 */
function eventsOf(circuit: CircuitView, corner: MapCorner, technique: readonly CornerTechnique[]): CornerEvents {
  const near = (s: number): number => corner.entryM + stationDifference(s, corner.entryM, circuit.lengthM);
  const own = technique.filter((t) => t.corner === corner.name);
  return Object.fromEntries(
    EVENTS.map(({ key }) => [
      key,
      own
        .map((t) => t[key])
        .filter((s) => s !== null)
        .map(near),
    ]),
  ) as unknown as CornerEvents;
}

/** Events of a corner over some laps of the robot. */
export const eventsOfLaps = (circuit: CircuitView, corner: MapCorner, laps: readonly LapOf[]): CornerEvents =>
  eventsOf(
    circuit,
    corner,
    laps.flatMap((l) => l.lap.technique),
  );

/** Events of a corner over the reference rider's own laps. */
export const eventsOfReference = (circuit: CircuitView, corner: MapCorner): CornerEvents =>
  eventsOf(circuit, corner, circuit.referenceBand?.technique.flat() ?? []);

/** A station as it counts from the gate. */
export const onLap = (stationM: number, lengthM: number): number => ((stationM % lengthM) + lengthM) % lengthM;
