import type { Problem } from '../problem.ts';
import type { StageGate } from '../read/stageGates.ts';
import { accepted } from './accepted.ts';
import type { LoadedSession } from './load.ts';

/** A session with what gates look at. */
interface Gated {
  readonly date: string;
  readonly configuration: Readonly<Record<string, string>>;
}

/**
 * Why a gate was not open for a session: nothing was shown before it, or what was shown is of another configuration.
 *
 * @param records sessions of the gate's evidence
 * @returns the keys that differ; empty where nothing at all was shown by then; null where the gate was open
 */
export function gateShut(gate: StageGate, session: Gated, records: readonly Gated[]): string[] | null {
  const before = records.filter((r) => r.date <= session.date);
  const differing = (r: Gated): string[] =>
    gate.sameAs.filter((key) => r.configuration[key] !== session.configuration[key]);
  if (before.some((r) => differing(r).length === 0)) return null;
  const last = before.toSorted((a, b) => (a.date < b.date ? -1 : 1)).at(-1);
  return last ? differing(last) : [];
}

/**
 * Sessions that were run before the gate to their stage was passed, or with another configuration than it was passed with.
 *
 * @param part whether these are some of the campaign's sessions, so that evidence may be a session of the others
 */
export function gateOrder(gates: readonly StageGate[], sessions: readonly LoadedSession[], part = false): Problem[] {
  const known = new Map<string, Gated>();
  for (const { id, session } of sessions)
    if (session) known.set(id, { date: session.date, configuration: session.runs[0]?.configuration ?? {} });
  return gates.flatMap((gate) => {
    const records = gate.criteria.flatMap(({ evidence }) => known.get(evidence) ?? []);
    const unknown = gate.criteria
      .filter(({ evidence }) => !part && !known.has(evidence))
      .map(
        ({ name, evidence }): Problem => ({
          code: 'GATE_EVIDENCE',
          severity: 'stop',
          place: { file: 'campaign.md', key: 'stageGates' },
          found: `\`${evidence}\` as evidence of “${name}”`,
          expected: 'a session of the campaign',
          remedy: 'correct the name',
        }),
      );
    const early = sessions.flatMap(({ id, file, session }): Problem[] => {
      if (session?.stage !== gate.opens || session.controller === null) return [];
      const shut = gateShut(gate, known.get(id)!, records);
      if (!shut) return [];
      const now = shut.map((key) => `${key} ${session.runs[0]?.configuration[key] ?? 'not given'}`).join(', ');
      const problem: Problem = {
        code: 'GATE_ORDER',
        severity: 'warn',
        place: { file },
        found:
          shut.length === 0
            ? 'nothing recorded before that day'
            : `${now}, with which nothing was recorded before that day`,
        expected: `the gate “${gate.name}” passed before${gate.sameAs.length > 0 ? `, with the same ${gate.sameAs.join(' and ')}` : ''}`,
        remedy:
          'record what was shown under `stageGates:` of campaign.md, or show it before the next day at this stage',
      };
      return accepted([problem], session.accept);
    });
    return [...unknown, ...early];
  });
}
