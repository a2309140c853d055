import { METHOD_VERSION } from '../../campaign/results.ts';
import { sha256 } from '../../effects.ts';
import type { Place } from './place.ts';
import type { Stands } from './quantity.ts';

/** How far a number reaches beyond its own log. */
interface Reach {
  /** Compared with the reference lap, or counted only where it compares with it. */
  readonly reference?: boolean;
  /** `there`: there is no such number without a phase map, but no boundary moves it. */
  readonly phaseMap?: boolean | 'there';
}

/** The files that numbers of a place are computed from: a lap's log, or those of all runs, and what they were read with. */
export function standsOf({ session, run }: Place, { reference = false, phaseMap = false }: Reach = {}): Stands {
  const { inputs } = session;
  const [map = ''] = Object.keys(inputs.phaseMap);
  return Object.assign(
    {},
    ...(run ? [run] : session.runs).map((r) => r.inputs),
    inputs.session,
    inputs.circuit,
    reference ? inputs.reference : {},
    phaseMap === true ? inputs.phaseMap : {},
    phaseMap === 'there' ? { [`${map}, usable`]: String(session.phaseMap !== null) } : {},
  );
}

/** Length of a claim's mark, in hexadecimal digits. */
const MARK_LENGTH = 12;

/**
 * What tells the inputs of a claim from any others, short enough to stand in a sentence: the files by name and content,
 * the version of the method, and what was asked of them.
 */
export function markOf(asked: string, stands: Stands): string {
  const files = Object.entries(stands).sort(([a], [b]) => (a < b ? -1 : 1));
  return sha256(JSON.stringify([METHOD_VERSION, asked, files])).slice(0, MARK_LENGTH);
}
