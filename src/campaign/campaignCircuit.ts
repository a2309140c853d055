import { phaseMapText, readPhaseMap } from '../circuit/phases.ts';
import type { Effects } from '../effects.ts';
import type { Problem } from '../problem.ts';
import { circuitView } from './circuitView.ts';
import type { Inputs, InputsOf } from './inputs.ts';
import type { Kept } from './kept.ts';
import type { LoadedCampaign } from './load.ts';
import { keepPhaseMap, type Reference, referenceOf } from './reference.ts';
import type { CircuitView } from './results.ts';

/** What of a circuit goes on pages: kept, so that the reference is laid out only where a session needs it. */
export interface KeptCircuit {
  readonly view: CircuitView | null;
  readonly problems: readonly Problem[];
}

/** Where circuits are kept, and what they are made from. */
export interface CircuitMemory {
  readonly inputsOf: InputsOf;
  readonly circuits: Pick<Kept<KeptCircuit>, 'find' | 'keep'>;
}

/** A circuit that sessions were ridden on, with its reference: laid out, or as an earlier build left it. */
export class CampaignCircuit {
  readonly #loaded: LoadedCampaign;
  readonly #id: string;
  readonly #keepMaps: boolean;
  readonly #memory: CircuitMemory | null;
  readonly #effects: Effects;
  #laid: Reference | null | undefined;
  inputs: Inputs = {};
  view: CircuitView | null = null;
  problems: readonly Problem[] = [];

  constructor(loaded: LoadedCampaign, id: string, keepMaps: boolean, memory: CircuitMemory | null, effects: Effects) {
    this.#loaded = loaded;
    this.#id = id;
    this.#keepMaps = keepMaps;
    this.#memory = memory;
    this.#effects = effects;
  }

  /** Finds out what the pages need to know. */
  async open(): Promise<void> {
    this.inputs = await this.#inputs();
    const kept = await this.#memory?.circuits.find(this.#id, this.inputs);
    if (kept?.value) {
      ({ view: this.view, problems: this.problems } = kept.value);
      return;
    }
    await this.#lay();
    // A map that was written just now is an input from here on.
    this.inputs = await this.#inputs();
    // Where the map could not be written, the next build shall try again.
    if (!this.problems.some(({ code }) => code === 'PHASES_UNWRITABLE'))
      await this.#memory?.circuits.keep(this.#id, this.inputs, { view: this.view, problems: this.problems });
  }

  /** The reference lap; null where there is none. Its log is read at the first call where nothing else needed it. */
  async reference(): Promise<Reference | null> {
    if (this.#laid === undefined) this.#laid = (await referenceOf(this.#loaded, this.#id, this.#effects)).reference;
    return this.#laid;
  }

  async #inputs(): Promise<Inputs> {
    return (await this.#memory?.inputsOf.circuit(this.#id)) ?? {};
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
    const unkept = this.#keepMaps ? await keepPhaseMap(this.#loaded, this.#id, this.#effects) : [];
    this.problems = [...problems, ...unkept];
  }
}
