import type { Against, CircuitFindings, SessionFindings } from '../../campaign/findings/schema.ts';
import type { Results } from '../readResults.ts';

/** What the campaign's findings say of a session; undefined where it has no lap to compare. */
export const foundOf = (results: Results, session: string): SessionFindings | undefined =>
  results.campaign.findings.sessions.find((found) => found.session === session);

/** What they say of a circuit. */
export const foundOn = (results: Results, circuit: string): CircuitFindings | undefined =>
  results.campaign.findings.circuits.find((found) => found.circuit === circuit);

/** The comparison that speaks for a session: with the one before it. */
export const beforeOf = (found: SessionFindings | undefined): Against | undefined =>
  found?.against.find(({ kind }) => kind === 'session before');

/** Comparisons without those that say the same twice. */
export const distinct = (against: readonly Against[]): Against[] =>
  against.filter(
    (one, i) =>
      !against.slice(0, i).some((other) => other.of.join() === one.of.join() && other.with.join() === one.with.join()),
  );
