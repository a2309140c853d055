import { join } from 'node:path';
import { byStation } from '../align/alignLap.ts';
import type { Circuit } from '../circuit/circuit.ts';
import { phaseMapText, readPhaseMap } from '../circuit/phases.ts';
import type { Effects } from '../effects.ts';
import { stationGrid } from '../gap/curve.ts';
import { median } from '../numbers/quantile.ts';
import type { Problem } from '../problem.ts';
import { zonesOf } from '../technique/proposePhases.ts';
import { rulesOf, techniqueOf } from '../technique/technique.ts';
import { analyseSession } from './analyse.ts';
import type { Inputs, InputsOf } from './inputs.ts';
import type { Found, Kept } from './kept.ts';
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

/** What a campaign’s analysis gives, session by session, so that only one is in memory. */
export interface CampaignSink {
  /** @param why what is not as it was at the last build; null without a memory */
  session(result: SessionResult, curves: ReadonlyMap<string, LapCurves>, why: string | null): Promise<void>;
  /** A session whose result stands as an earlier build left it. */
  unchanged?(result: SessionResult): Promise<void>;
  campaign(result: CampaignResult): Promise<void>;
}

/** What of a circuit goes on pages: kept, so that the reference is laid out only where a session needs it. */
export interface KeptCircuit {
  readonly view: CircuitView | null;
  readonly problems: readonly Problem[];
}

/** What earlier builds left, and what it was made from. */
export interface CampaignMemory {
  inputsOf(loaded: LoadedCampaign): InputsOf;
  readonly circuits: Pick<Kept<KeptCircuit>, 'find' | 'keep'>;
  /** Results as the sink of an earlier build was given them; kept by that sink. */
  readonly sessions: { find(id: string, inputs: Inputs): Promise<Found<SessionResult>> };
  /** Called once a session’s result is in the sink. */
  keepSession(result: SessionResult, curves: ReadonlyMap<string, LapCurves>, inputs: Inputs): Promise<void>;
}

interface Options {
  readonly toolVersion: string;
  readonly asOf: string | null;
  /** Write proposed phase maps beside their circuits. */
  readonly keepMaps: boolean;
  readonly memory?: CampaignMemory;
}

/** Analyses a whole campaign. Sessions that cannot be read are left out and stand in the campaign's problems. */
export async function analyseCampaign(
  loaded: LoadedCampaign,
  options: Options,
  sink: CampaignSink,
  effects: Effects,
): Promise<CampaignResult> {
  const { memory } = options;
  const inputsOf = memory?.inputsOf(loaded);
  const problems: Problem[] = [...loaded.problems];
  const circuits = new Map<string, CircuitOfCampaign>();
  for (const { session } of loaded.sessions) {
    if (!session || circuits.has(session.circuit)) continue;
    const circuit = new CircuitOfCampaign(loaded, session.circuit, options, inputsOf, effects);
    await circuit.open();
    circuits.set(session.circuit, circuit);
    problems.push(...circuit.problems);
  }
  const ids: string[] = [];
  let newest = '';
  const taken = ({ session, date }: SessionResult): void => {
    ids.push(session);
    if (date > newest) newest = date;
  };
  for (const home of loaded.sessions) {
    const circuit = circuits.get(home.session?.circuit ?? '');
    const inputs = circuit && (await inputsOf?.session(home, circuit.inputs));
    const found = inputs && (await memory?.sessions.find(home.id, inputs));
    if (found?.value) {
      taken(found.value);
      await sink.unchanged?.(found.value);
      continue;
    }
    const analysis = await analyseSession(loaded, home, (await circuit?.reference()) ?? null, effects);
    if (!analysis) {
      problems.push(...home.problems);
      continue;
    }
    taken(analysis.result);
    await sink.session(analysis.result, analysis.curves, found?.why ?? null);
    if (inputs) await memory?.keepSession(analysis.result, analysis.curves, inputs);
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
    circuits: [...circuits.values()].flatMap(({ view }) => (view ? [view] : [])),
    sessions: ids,
    problems,
  };
  await sink.campaign(result);
  return result;
}

/** A circuit that sessions were ridden on, with its reference: laid out, or as an earlier build left it. */
class CircuitOfCampaign {
  readonly #loaded: LoadedCampaign;
  readonly #id: string;
  readonly #options: Options;
  readonly #inputsOf: InputsOf | undefined;
  readonly #effects: Effects;
  #laid: Reference | null | undefined;
  inputs: Inputs = {};
  view: CircuitView | null = null;
  problems: readonly Problem[] = [];

  constructor(
    loaded: LoadedCampaign,
    id: string,
    options: Options,
    inputsOf: InputsOf | undefined,
    effects: Effects,
  ) {
    this.#loaded = loaded;
    this.#id = id;
    this.#options = options;
    this.#inputsOf = inputsOf;
    this.#effects = effects;
  }

  async open(): Promise<void> {
    const { memory } = this.#options;
    this.inputs = (await this.#inputsOf?.circuit(this.#id)) ?? {};
    const kept = await memory?.circuits.find(this.#id, this.inputs);
    if (kept?.value) {
      ({ view: this.view, problems: this.problems } = kept.value);
      return;
    }
    await this.#lay();
    // A map that was written just now is an input from here on.
    this.inputs = (await this.#inputsOf?.circuit(this.#id)) ?? {};
    // Where the map could not be written, the next build shall try again.
    if (!this.problems.some(({ code }) => code === 'PHASES_UNWRITABLE'))
      await memory?.circuits.keep(this.#id, this.inputs, { view: this.view, problems: this.problems });
  }

  async reference(): Promise<Reference | null> {
    if (this.#laid === undefined) this.#laid = (await referenceOf(this.#loaded, this.#id, this.#effects)).reference;
    return this.#laid;
  }

  async #lay(): Promise<void> {
    const circuit = this.#loaded.circuits.get(this.#id);
    const { phaseMaps } = this.#loaded;
    const proposed = !phaseMaps.has(this.#id);
    const { reference, problems } = await referenceOf(this.#loaded, this.#id, this.#effects);
    const map = reference?.map;
    // A proposal counts as it stands in its file, so that this build and the next agree to the last digit.
    const written = proposed && map && circuit ? readPhaseMap(phaseMapText(map), '', circuit.lengthM).map : null;
    if (written) phaseMaps.set(this.#id, written);
    this.#laid = reference && written ? { ...reference, map: written } : reference;
    this.view = circuit ? circuitView(circuit, this.#laid) : null;
    const unkept = this.#options.keepMaps ? await keepPhaseMap(this.#loaded, this.#id, this.#effects) : [];
    this.problems = [...problems, ...unkept];
  }
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
