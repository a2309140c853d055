import { join } from 'node:path';
import { byStation } from '../align/alignLap.ts';
import type { Circuit } from '../circuit/circuit.ts';
import type { Effects } from '../effects.ts';
import { stationGrid } from '../gap/curve.ts';
import { median } from '../numbers/quantile.ts';
import type { Problem } from '../problem.ts';
import { zonesOf } from '../technique/proposePhases.ts';
import { rulesOf, techniqueOf } from '../technique/technique.ts';
import { analyseSession } from './analyse.ts';
import type { LoadedCampaign } from './load.ts';
import { keepPhaseMap, type Reference, referenceOf } from './reference.ts';
import {
  type CampaignResult,
  type CircuitView,
  type CornerTechnique,
  type LapCurves,
  METHOD_VERSION,
  RESULTS_SCHEMA,
  type SessionResult,
} from './results.ts';

/** What a campaign's analysis gives, session by session, so that only one is in memory. */
export interface CampaignSink {
  session(result: SessionResult, curves: ReadonlyMap<string, LapCurves>): Promise<void>;
  campaign(result: CampaignResult): Promise<void>;
}

/** Analyses a whole campaign. Sessions that cannot be read are left out and stand in the campaign's problems. */
export async function analyseCampaign(
  loaded: LoadedCampaign,
  options: { readonly toolVersion: string; readonly asOf: string | null; readonly keepMaps: boolean },
  sink: CampaignSink,
  effects: Effects,
): Promise<CampaignResult> {
  const problems: Problem[] = [...loaded.problems];
  const references = new Map<string, Reference | null>();
  for (const { session } of loaded.sessions) {
    const id = session?.circuit;
    if (id === undefined || references.has(id)) continue;
    const found = await referenceOf(loaded, id, effects);
    references.set(id, found.reference);
    problems.push(...found.problems);
    if (options.keepMaps) problems.push(...(await keepPhaseMap(loaded, id, effects)));
  }
  const ids: string[] = [];
  let newest = '';
  for (const home of loaded.sessions) {
    const analysis = await analyseSession(loaded, home, references.get(home.session?.circuit ?? '') ?? null, effects);
    if (!analysis) {
      problems.push(...home.problems);
      continue;
    }
    ids.push(home.id);
    if (analysis.result.date > newest) newest = analysis.result.date;
    await sink.session(analysis.result, analysis.curves);
  }
  const result: CampaignResult = {
    schema: RESULTS_SCHEMA,
    method: METHOD_VERSION,
    tool: { name: 'gapbook', version: options.toolVersion },
    asOf: options.asOf ?? newest,
    title: loaded.campaign.title,
    about: loaded.campaign.about,
    riders: { ...loaded.campaign.riders },
    targets: [...loaded.campaign.targets],
    circuits: [...references].flatMap(([id, reference]) => {
      const circuit = loaded.circuits.get(id);
      return circuit ? [circuitView(circuit, reference)] : [];
    }),
    sessions: ids,
    problems,
  };
  await sink.campaign(result);
  return result;
}

/** Where a session's and a lap's results lie below the results folder. */
export const resultPath = (session: string): string => join('results', `${session}.json`);

function circuitView(circuit: Circuit, reference: Reference | null): CircuitView {
  const { stepM, stationM } = stationGrid(circuit.lengthM);
  const point = { eastM: 0, northM: 0, headingRad: 0, curvaturePerM: 0 };
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
    reference: reference && {
      session: reference.session,
      run: reference.run,
      lap: reference.lap.lap.number,
      timeS: reference.lap.timeS!,
      rider: reference.rider,
    },
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
