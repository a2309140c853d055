import { byStation } from '../align/alignLap.ts';
import type { Circuit } from '../circuit/circuit.ts';
import { LinePoint } from '../circuit/line.ts';
import { stationGrid } from '../gap/curve.ts';
import { median } from '../numbers/quantile.ts';
import { zonesOf } from '../technique/proposePhases.ts';
import { rulesOf, techniqueOf } from '../technique/technique.ts';
import { nameOf, type Reference } from './reference.ts';
import type { CircuitView, CornerTechnique } from './results.ts';

/** A circuit as pages draw it, with the reference lap and the spread of the reference rider’s laps. */
export function circuitView(circuit: Circuit, reference: Reference | null): CircuitView {
  const { stepM, stationM } = stationGrid(circuit.lengthM);
  const point = new LinePoint();
  const places = Array.from(stationM, (s) => ({ ...circuit.line.at(s, point) }));
  const { gate, edges } = circuit;
  const map = reference?.map ?? null;
  const pairs = ([east, north]: Float64Array[]): [number, number][] =>
    Array.from(east ?? [], (e, i): [number, number] => [digits(e, 2), digits(north?.[i] ?? 0, 2)]);
  return {
    id: circuit.id,
    name: circuit.name,
    lengthM: circuit.lengthM,
    stepM,
    eastM: places.map(({ eastM }) => digits(eastM, 3)),
    northM: places.map(({ northM }) => digits(northM, 3)),
    edgeLeftM: edges && pairs(edges.left),
    edgeRightM: edges && pairs(edges.right),
    gate: [
      [digits(gate.leftEastM, 2), digits(gate.leftNorthM, 2)],
      [digits(gate.rightEastM, 2), digits(gate.rightNorthM, 2)],
    ],
    phaseMap: map?.version ?? null,
    corners: map ? map.corners.map((corner) => ({ ...corner })) : [],
    reference: reference && nameOf(reference),
    referenceBand: reference && band(reference, stationM),
  };
}

/** Spread of the reference rider's own laps. */
function band(reference: Reference, stationM: Float64Array): CircuitView['referenceBand'] {
  const speeds = reference.laps.map(({ lap }) => byStation(lap, lap.run.speedMps, stationM));
  const here = (i: number): number[] => speeds.flatMap((v) => (Number.isNaN(v[i]!) ? [] : [v[i]!]));
  const each = (of: (values: number[]) => number): (number | null)[] =>
    Array.from(stationM, (_, i) => {
      const values = here(i);
      return values.length === 0 ? null : digits(of(values), 3);
    });
  const { map } = reference;
  return {
    laps: reference.laps.length,
    lowMps: each((v) => Math.min(...v)),
    highMps: each((v) => Math.max(...v)),
    medianMps: each(median),
    technique: map
      ? reference.laps.map(({ lap }) => techniqueOf(lap, zonesOf(map), rulesOf(lap)) as CornerTechnique[])
      : [],
  };
}

function digits(value: number, places: number): number {
  const scale = 10 ** places;
  return Math.round(value * scale) / scale;
}
