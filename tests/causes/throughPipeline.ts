import { createHash } from 'node:crypto';
import { type AlignedLap, alignLap } from '../../src/align/alignLap.ts';
import { alignRun } from '../../src/align/alignRun.ts';
import { type FittedEnvelope, fitEnvelope } from '../../src/causes/fitEnvelope.ts';
import { type CauseOptions, lapCauses } from '../../src/causes/lapCauses.ts';
import type { LapCauses } from '../../src/causes/schema.ts';
import { type Circuit, readCircuit } from '../../src/circuit/circuit.ts';
import type { PhaseMap } from '../../src/circuit/phases.ts';
import { cutLaps } from '../../src/laps/laps.ts';
import { traceOf } from '../../src/laps/trace.ts';
import { ColumnMap } from '../../src/read/columns.ts';
import { type ChannelName, channelKind, type Recording } from '../../src/read/recording.ts';
import type { RunSetup } from '../../src/read/sessionFile.ts';
import { proposePhases, zonesOf } from '../../src/technique/proposePhases.ts';
import { commonRules, rulesOf, techniqueOf } from '../../src/technique/technique.ts';
import type { Course } from './generator/course.ts';
import type { Columns, Logger } from './generator/sense.ts';

/** The product's view of a course: the circuit as a file would give it, the reference's phase map and the envelope. */
export interface Known {
  readonly circuit: Circuit;
  readonly map: PhaseMap;
  readonly envelope: FittedEnvelope;
}

/** A log and the session file's word on its logger. */
export interface Logged {
  readonly columns: Columns;
  readonly logger: Logger;
}

/** Spacing of the drawn line, m, and half the width of its gate. */
const DRAWN_M = 4;
const GATE_M = 9;

/** The circuit file of a course, in metres of its own, read by the product. */
export function circuitOf(course: Course): Circuit {
  const count = Math.round(course.lengthM / DRAWN_M);
  const place = (stationM: number, left = 0): [number, number] => {
    const { eastM, northM, headingRad } = course.at(stationM);
    const digits = (x: number): number => Math.round(x * 1e4) / 1e4;
    return [digits(eastM - left * Math.sin(headingRad)), digits(northM + left * Math.cos(headingRad))];
  };
  const line = Array.from({ length: count }, (_, i) => place((i * course.lengthM) / count));
  const feature = (role: string, coordinates: [number, number][]): object => ({
    type: 'Feature',
    properties: { role },
    geometry: { type: 'LineString', coordinates },
  });
  const text = JSON.stringify({
    type: 'FeatureCollection',
    plane: 'metres',
    features: [feature('reference-line', [...line, line[0]!]), feature('gate', [place(0, GATE_M), place(0, -GATE_M)])],
  });
  const { circuit, problems } = readCircuit(text, `${course.name}.geojson`, course.name);
  if (!circuit) throw new Error(JSON.stringify(problems));
  return circuit;
}

/** The flying lap of a log, laid on the circuit as a session's would be. */
export function layLap({ columns, logger }: Logged, circuit: Circuit): AlignedLap {
  const setup: RunSetup = {
    files: ['run.csv'],
    line: 1,
    kind: 'laps',
    stage: 'track',
    circuit: circuit.id,
    rider: 'one',
    controller: null,
    configuration: {},
    axes: 'body',
    position: { antennaM: logger.toldArmM, latencyS: logger.toldLatencyS, shiftM: [0, 0], sigmaM: 0.02 },
    emulated: [],
    speedLimitMps: null,
    machine: null,
    incidents: [],
    official: new Map(),
    columns: new ColumnMap(),
    decimal: undefined,
    frameCircuit: null,
  };
  const { trace, problems } = traceOf(recordingOf(columns), setup, circuit.plane, null);
  if (!trace) throw new Error(JSON.stringify(problems));
  const run = alignRun(trace, circuit);
  const laps = cutLaps(trace, circuit.gate, setup).flatMap((lap) => alignLap(run, lap) ?? []);
  const flying = laps.find(({ timeS, reasons }) => timeS !== null && reasons.length === 0);
  if (!flying) throw new Error(`no lap: ${JSON.stringify(laps.map(({ timeS, reasons }) => ({ timeS, reasons })))}`);
  return flying;
}

function recordingOf(columns: Columns): Recording {
  const { time, ...others } = columns;
  const known = Object.entries(others).filter(([name]) => channelKind(name) !== null) as [ChannelName, Float64Array][];
  const hash = createHash('sha256');
  for (const values of Object.values(columns))
    hash.update(new Uint8Array(values.buffer, values.byteOffset, values.byteLength));
  return {
    file: 'run.csv',
    sha256: hash.digest('hex'),
    bytes: 0,
    rows: time!.length,
    timeS: time!,
    epochS: null,
    channels: new Map(known),
    columns: known.map(([name]) => {
      const [inside = ''] = channelKind(name)!.units;
      return { name, column: name, unit: inside, inside };
    }),
    otherColumns: Object.keys(others).filter((name) => channelKind(name) === null),
    lineOfRow: null,
    problems: [],
  };
}

/** What the product learns of a course from some laps: the first ones are the reference's, all show what can be done. */
export function known(
  circuit: Circuit,
  reference: readonly AlignedLap[],
  others: readonly AlignedLap[] = [],
  dragPerM?: number,
): Known {
  const map = proposePhases(circuit, reference, 'the generator', 1);
  const envelope = fitEnvelope([...reference, ...others], dragPerM);
  if (!map || !envelope) throw new Error(`no corner or no envelope on ${circuit.id}`);
  return { circuit, map, envelope };
}

/** Causes of the gap between two laps, technique measured by the rules that both logs allow. */
export function causesOf(
  lap: AlignedLap,
  reference: AlignedLap,
  { map, envelope }: Known,
  options: CauseOptions,
): LapCauses {
  const zones = zonesOf(map);
  const rules = commonRules(rulesOf(lap), rulesOf(reference));
  const causes = lapCauses(
    lap,
    reference,
    map,
    techniqueOf(lap, zones, rules),
    techniqueOf(reference, zones, rules),
    envelope,
    options,
  );
  if (!causes) throw new Error('no window that both laps covered');
  return causes;
}
