import { join, normalize, relative } from 'node:path';
import { type Effects, sha256 } from '../effects.ts';
import type { RunSetup } from '../read/sessionFile.ts';
import type { FileHashes } from './fileHashes.ts';
import { keysOf, type LoadedCampaign, type LoadedSession } from './load.ts';

/** Everything that a result depends on: what a person calls it -> hash of its content. */
export type Inputs = Readonly<Record<string, string>>;

/**
 * Names and hashes what results are made from. Two runs with equal inputs have equal results.
 *
 * @param code hash of what computes: sources, packages, engine
 */
export class InputsOf {
  readonly #loaded: LoadedCampaign;
  readonly #code: string;
  readonly #hashes: FileHashes;
  readonly #effects: Effects;

  constructor(loaded: LoadedCampaign, code: string, hashes: FileHashes, effects: Effects) {
    this.#loaded = loaded;
    this.#code = code;
    this.#hashes = hashes;
    this.#effects = effects;
  }

  /** Of what is found of all sessions together. */
  laps(hash: string): Inputs {
    return { gapbook: this.#code, laps: hash };
  }

  /** Of the reference lap of a circuit, of its phase map, and so of whatever is compared with it. */
  async circuit(id: string): Promise<Inputs> {
    const { folders, campaign, sessions } = this.#loaded;
    const at = async (name: string): Promise<string> => {
      const path = join(folders.content, 'circuits', name);
      return (await this.#effects.exists(path)) ? sha256(await this.#effects.text(path)) : 'missing';
    };
    const choice = campaign.reference(id);
    const home = sessions.find((s) => s.id === choice?.session);
    const runs = home?.session?.runs.filter(({ files }) => choice?.run === null || files[0] === choice?.run) ?? [];
    const reference: [string, string][] = home
      ? [
          ['session.md', await this.#keys(home)],
          ...(await this.#files(home, runs)),
          ['problems', sha256(JSON.stringify(home.problems))],
        ]
      : [];
    return {
      gapbook: this.#code,
      [`circuits/${id}.geojson`]: await at(`${id}.geojson`),
      [`circuits/${id}.phases.yaml`]: await at(`${id}.phases.yaml`),
      'reference in campaign.md': sha256(JSON.stringify(choice)),
      ...Object.fromEntries(reference.map(([name, hash]) => [`${home?.id}/${name} of the reference`, hash])),
    };
  }

  /** @param circuit inputs of the session's circuit */
  async session(home: LoadedSession, circuit: Inputs): Promise<Inputs> {
    return {
      ...circuit,
      'riders in campaign.md': sha256(JSON.stringify(this.#loaded.campaign.riders)),
      'what campaign and session name': sha256(JSON.stringify(home.problems)),
      'session.md': await this.#keys(home),
      ...Object.fromEntries(await this.#files(home, home.session?.runs ?? [])),
    };
  }

  /** A session file without its notes, which no number depends on. */
  async #keys(home: LoadedSession): Promise<string> {
    return sha256(keysOf(await this.#effects.text(join(home.folder, 'session.md'))));
  }

  /** The files that runs name; where a link leads is a part of what it is. */
  async #files({ folder }: LoadedSession, runs: readonly RunSetup[]): Promise<[string, string][]> {
    const names = new Set(
      runs.flatMap((run) => [...run.files, ...(run.frameCircuit === null ? [] : [run.frameCircuit])]),
    );
    const home = await this.#effects.real(folder);
    const found: [string, string][] = [];
    for (const name of names) {
      const path = join(folder, name);
      const place = relative(home, await this.#effects.real(path));
      found.push([name, await this.#hashes.of(path)]);
      if (place !== normalize(name)) found.push([`${name}, as a link,`, sha256(place)]);
    }
    return found;
  }
}

/** What is not as it was, in words: `run-01.csv changed, session.md new`. */
export function difference(before: Inputs, now: Inputs): string {
  const said = (names: readonly string[], word: string): string[] =>
    names.length === 0 ? [] : [`${names.join(', ')} ${word}`];
  const names = Object.keys(now);
  return [
    ...said(
      names.filter((name) => name in before && before[name] !== now[name]),
      'changed',
    ),
    ...said(
      names.filter((name) => !(name in before)),
      'new',
    ),
    ...said(
      Object.keys(before).filter((name) => !(name in now)),
      'gone',
    ),
  ].join(', ');
}
