import type { ComparisonFound } from '../../../campaign/findings/schema.ts';
import { GROUPS } from '../../../causes/cause.ts';
import { sha256 } from '../../../effects.ts';
import { foundOf, foundOn } from '../../findings/found.ts';
import { VERDICTS } from '../../findings/verdictWords.ts';
import { plural } from '../../words.ts';
import { circuitOf, cornerOf } from '../place.ts';
import type { Ask, Quantity, Reading, Scale, Stands } from '../quantity.ts';
import { standsOf } from '../stands.ts';
import { SECONDS } from './gap.ts';

const PHASE_WORDS = ['braking', 'apex', 'drive'] as const;
const SINCE = ['session', 'best', 'version', 'configuration'] as const;
const KINDS = {
  session: 'session before',
  best: 'best known',
  version: 'version before',
  configuration: 'configuration before',
} as const;
const SHARE: Scale = { inside: '%', shown: '%', digits: 0 };

const KEYS = [
  { name: 'corner', means: 'the corner as the phase map names it; the whole lap where it is left out' },
  { name: 'phase', means: '`braking`, `apex` or `drive` over the lap' },
  { name: 'by', means: `group of causes over the lap: ${GROUPS.map((group) => `\`${group}\``).join(', ')}` },
  {
    name: 'since',
    means:
      '`session` before (as long as nothing is said), `best` version before, `version` before, or `configuration` before',
  },
];

const reading = (scale: Scale, stands: Stands, value: Reading['value'], why: string): Reading => ({
  value,
  why,
  scale,
  sigma: null,
  range: null,
  stands,
});

/** The comparison that is asked for, with the files of both sides. */
function asked({ results, of, given }: Ask): { found: ComparisonFound | undefined; stands: Stands } {
  const corner = given.text('corner');
  const phase = given.oneOf('phase', PHASE_WORDS);
  const by = given.oneOf('by', GROUPS);
  const since = given.oneOf('since', SINCE) ?? 'session';
  if (corner !== null) cornerOf(circuitOf(results, of.session), corner);
  const against = foundOf(results, of.session.session)?.against.find(({ kind }) => kind === KINDS[since]);
  const found =
    corner !== null
      ? against?.corners.find((c) => c.corner === corner)
      : phase !== null
        ? against?.phases.find((p) => p.phase === phase)
        : by !== null
          ? against?.causes.find((c) => c.group === by)
          : against?.lap;
  return { found, stands: over(results, [of.session.session, ...(against ? [...against.of, ...against.with] : [])]) };
}

/** Files of several sessions with what they were read with. */
const over = (results: Ask['results'], sessions: readonly string[]): Stands =>
  Object.assign(
    {},
    ...[...new Set(sessions)].flatMap((id) => {
      const session = results.session(id);
      return session ? [standsOf({ session, run: null, lap: null }, { reference: true, phaseMap: true })] : [];
    }),
  );

const NOTHING_BEFORE = 'the session has nothing that it could be compared with';

/** Whether a change is real, in words. */
const real: Quantity = {
  name: 'real',
  means: `Whether a session differs from the one before it: ${Object.values(VERDICTS)
    .map((words) => `“${words}”`)
    .join(', ')}.`,
  keys: KEYS,
  example: (corner) => `corner=${corner}`,
  read(ask) {
    const { found, stands } = asked(ask);
    const scale = { inside: '1', shown: '1', digits: 0 };
    return found ? reading(scale, stands, VERDICTS[found.verdict], '') : reading(scale, stands, null, NOTHING_BEFORE);
  },
};

/** By how much. */
const change: Quantity = {
  name: 'change',
  means: 'By how much the loss of a session differs from that of the one before it; below zero where less is lost.',
  keys: KEYS,
  example: (corner) => `corner=${corner}`,
  read(ask) {
    const { found, stands } = asked(ask);
    if (!found || found.changeS === null) return reading(SECONDS, stands, null, NOTHING_BEFORE);
    const { interval } = found;
    return {
      ...reading({ ...SECONDS, digits: 2 }, stands, found.changeS, ''),
      range: interval ? { low: interval.lowS, high: interval.highS, laps: found.before.laps + found.after.laps } : null,
    };
  },
};

/** Sessions that speak for the robot on the track of the circuit of a place. */
const progressOf = ({ results, of }: Ask) => {
  const found = foundOn(results, of.session.circuit);
  return { found, stands: over(results, found?.progress ?? []) };
};

const trend: Quantity = {
  name: 'trend',
  means: 'By how much the gap falls (below zero) or rises a week, over all sessions on the track of the circuit.',
  keys: [],
  example: () => '',
  read(ask) {
    const { found, stands } = progressOf(ask);
    const told = found?.trend;
    return told && told.perWeekS !== null && told.verdict !== 'too few'
      ? reading({ ...SECONDS, digits: 2 }, stands, told.perWeekS, '')
      : reading(SECONDS, stands, null, `${plural(told?.sessions ?? 0, 'session')} on the track; five tell a trend`);
  },
};

const forecast: Quantity = {
  name: 'forecast',
  means: 'Probability that a session on the day of a target reaches it.',
  keys: [{ name: 'target', means: 'name of the target in campaign.md; the next to come where it is left out' }],
  example: () => '',
  read(ask) {
    const { found, stands: files } = progressOf(ask);
    const stands = { ...files, 'targets in campaign.md': sha256(JSON.stringify(ask.results.campaign.targets)) };
    const name = ask.given.text('target');
    const targets = found?.forecast.made?.targets ?? [];
    const target = name === null ? targets[0] : targets.find((t) => t.name === name);
    if (target) return reading(SHARE, stands, 100 * target.probability, '');
    const weeks = found?.forecast.effectiveWeeks ?? 0;
    const why = found?.forecast.made
      ? 'no such target to come'
      : `${plural(weeks, 'week')} with a session on the track; a forecast needs five`;
    return reading(SHARE, stands, null, why);
  },
};

/** What all sessions together let one say. */
export const verdicts: readonly Quantity[] = [real, change, trend, forecast];
