import { join } from 'node:path';
import type { Effects } from '../effects.ts';
import { difference, type Inputs } from './inputs.ts';

/** A kept value, or null with what is not as it was. */
export interface Found<T> {
  readonly value: T | null;
  readonly why: string;
}

/** Values kept from build to build, each with the inputs that it was made from. A folder that may be deleted any time. */
export class Kept<T> {
  readonly #folder: string;
  readonly #effects: Effects;

  constructor(folder: string, effects: Effects) {
    this.#folder = folder;
    this.#effects = effects;
  }

  /** The value under a name if it was made from exactly these inputs. */
  async find(name: string, inputs: Inputs): Promise<Found<T>> {
    try {
      const kept = JSON.parse(await this.#effects.text(this.#path(name))) as { inputs: Inputs; value: T };
      const why = difference(kept.inputs, inputs);
      return why === '' ? { value: kept.value, why } : { value: null, why };
    } catch {
      return { value: null, why: 'new' };
    }
  }

  keep(name: string, inputs: Inputs, value: T): Promise<void> {
    return this.#effects.write(this.#path(name), `${JSON.stringify({ inputs, value })}\n`);
  }

  forget(name: string): Promise<void> {
    return this.#effects.remove(this.#path(name));
  }

  /** Names that something is kept under, sorted. */
  async names(): Promise<string[]> {
    const entries = await this.#effects.list(this.#folder);
    return entries.flatMap(({ name }) => (name.endsWith('.json') ? [name.slice(0, -'.json'.length)] : []));
  }

  readonly #path = (name: string): string => join(this.#folder, `${name}.json`);
}
