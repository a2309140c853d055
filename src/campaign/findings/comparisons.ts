import { mean } from '../../numbers/moments.ts';
import { compare } from '../../statistics/compare.ts';
import { judge } from '../../statistics/judge.ts';
import { dayMedians, type RunValues } from '../../statistics/runs.ts';
import { confoundersBetween } from './conditionsOf.ts';
import { cornerKey, type Digest, groupKey, LAP, PHASES, phaseKey } from './digest.ts';
import type { Against, ConfounderFound } from './schema.ts';
import { groupsIn, runsOf } from './sides.ts';
import { comparisonFound } from './written.ts';

interface Sides {
  readonly kind: Against['kind'];
  readonly of: readonly string[];
  readonly with: readonly string[];
  readonly words: string;
  readonly confounders: ConfounderFound[];
  /** Whose laps the sides are. */
  readonly sessions: readonly Digest[];
  /** Laps of a part of the lap on either side. */
  readonly before: (key: string) => RunValues[];
  readonly after: (key: string) => RunValues[];
}

const names = (sessions: readonly Digest[]): string[] => sessions.map(({ session }) => session);

/** Sessions in a row with one software version, as one side. */
function versionsOf(sessions: readonly Digest[]): Digest[][] {
  const out: Digest[][] = [];
  for (const session of sessions) {
    const last = out.at(-1);
    if (last && last[0]!.controller === session.controller) last.push(session);
    else out.push([session]);
  }
  return out;
}

const gapOf = (sessions: readonly Digest[]): number => mean(dayMedians(runsOf(sessions, LAP)));

/**
 * What a session is compared with: the one before it, the best version before it, all sessions of the version before, and
 * where configurations took part in the day, the last of them with the one before. Medians alone decide which is best.
 *
 * @param like sessions that this one may be compared with, itself among them, by date
 */
export function comparisonsOf(session: Digest, like: readonly Digest[], corners: readonly string[]): Against[] {
  const upTo = like.slice(0, like.indexOf(session) + 1);
  const versions = versionsOf(upTo);
  const own = versions.at(-1) ?? [];
  const earlier = versions.slice(0, -1);
  const before = upTo.at(-2);
  const best = earlier.toSorted((a, b) => gapOf(a) - gapOf(b))[0];
  const sides: Sides[] = [];
  const add = (kind: Against['kind'], of: readonly Digest[], other: readonly Digest[], words: string): void => {
    sides.push({
      kind,
      of: names(of),
      with: names(other),
      words,
      confounders: confoundersBetween(other.at(-1)!, of[0]!),
      sessions: [...other, ...of],
      before: (key) => runsOf(other, key),
      after: (key) => runsOf(of, key),
    });
  };
  const version = (of: readonly Digest[]): string => of[0]?.controller ?? 'no version';
  const versus = (other: readonly Digest[]): string => `${version(own)} against ${version(other)}`;
  if (before) add('session before', [session], [before], '');
  if (best) add('best known', own, best, versus(best));
  const previous = earlier.at(-1);
  // Where both versions have one session, that is the comparison of the sessions again.
  if (previous && own.length + previous.length > 2) add('version before', own, previous, versus(previous));
  sides.push(...configurations(session));
  return sides.map((s) => found(s, corners));
}

function configurations(session: Digest): Sides[] {
  const runs = session.runs.filter(({ laps }) => laps.length > 0);
  const last = runs.at(-1);
  const other = runs.findLast(({ configurationHash }) => configurationHash !== last?.configurationHash);
  if (!last || !other) return [];
  const of = (hash: string) => runs.filter(({ configurationHash }) => configurationHash === hash);
  const side = (hash: string) => (key: string) =>
    runsOf([session], key, ({ configurationHash }) => configurationHash === hash);
  return [
    {
      kind: 'configuration before',
      of: of(last.configurationHash).map(({ file }) => file),
      with: of(other.configurationHash).map(({ file }) => file),
      words: difference(other.configuration, last.configuration),
      // One session file tells of one set of conditions.
      confounders: [],
      sessions: [session],
      before: side(other.configurationHash),
      after: side(last.configurationHash),
    },
  ];
}

/** `shift_table b against none, firmware 8 against 7`. */
function difference(before: Readonly<Record<string, string>>, after: Readonly<Record<string, string>>): string {
  const keys = [...new Set([...Object.keys(before), ...Object.keys(after)])].sort();
  return keys
    .filter((key) => before[key] !== after[key])
    .map((key) => `${key.replaceAll('_', ' ')} ${after[key] ?? 'none'} against ${before[key] ?? 'none'}`)
    .join(', ');
}

function found(
  { kind, of, with: other, words, confounders, sessions, before, after }: Sides,
  corners: readonly string[],
): Against {
  const among = (keys: readonly string[]) =>
    judge(keys.map((key) => ({ key, before: before(key), after: after(key) }))).map(({ change, changeQ }) =>
      comparisonFound(change, changeQ),
    );
  const atCorners = among(corners.map(cornerKey));
  const inPhases = among(PHASES.map(phaseKey));
  const groups = groupsIn(sessions);
  const byCause = among(groups.map(groupKey));
  return {
    kind,
    of: [...of],
    with: [...other],
    words,
    confounders,
    lap: comparisonFound(compare(before(LAP), after(LAP))),
    corners: corners.map((corner, i) => ({ corner, ...atCorners[i]! })),
    phases: PHASES.map((phase, i) => ({ phase, ...inPhases[i]! })),
    causes: groups.map((group, i) => ({ group, ...byCause[i]! })),
  };
}
