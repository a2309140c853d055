import { GROUPS } from '../../../causes/cause.ts';
import { CAUSES } from '../../../causes/list.ts';
import { MEDIAN_DIGITS } from '../../medians.ts';
import { overLaps } from '../overLaps.ts';
import { circuitOf, cornerOf } from '../place.ts';
import type { Quantity } from '../quantity.ts';
import { standsOf } from '../stands.ts';
import { SECONDS } from './gap.ts';

/** Causes, and the groups that are told where the causes in them are not; where both have a name it is the same thing. */
const WORDS = [...new Set<string>([...CAUSES.map(({ key }) => key), ...GROUPS])];

/** What a cause costs. */
export const cause: Quantity = {
  name: 'cause',
  means:
    'What one cause costs in a corner, or over the lap, with what its speed costs or brings in later corners; below zero where it gains.',
  keys: [
    { name: 'by', means: `which cause, or group of causes: ${WORDS.map((word) => `\`${word}\``).join(', ')}` },
    { name: 'corner', means: 'the corner; the whole lap where it is left out' },
  ],
  example: (corner) => `by=intensity corner=${corner}`,
  read(ask) {
    const { given, of, results } = ask;
    given.needed('by', 'the cause that is meant');
    const by = given.oneOf('by', WORDS)!;
    const name = given.text('corner');
    const corner = name === null ? null : cornerOf(circuitOf(results, of.session), name).name;
    return overLaps(
      ask,
      SECONDS,
      standsOf(of, { reference: true, phaseMap: true }),
      ({ causes }) => {
        if (!causes) return null;
        const windows = causes.windows.filter((w) => corner === null || w.corner === corner);
        if (windows.length === 0) return null;
        // Laps that do not differ in it lose nothing by it.
        const found = windows.flatMap(({ causes: parts, groups }) => {
          const cause = parts.find((part) => part.cause === by);
          return cause ?? groups.find(({ group }) => group === by) ?? [];
        });
        // A corner whose causes are not told apart has no value of one of them.
        if (corner !== null && found.some((part) => 'refused' in part && part.refused)) return null;
        return { value: found.reduce((sum, c) => sum + c.madeS, 0), sigma: null };
      },
      MEDIAN_DIGITS,
    );
  },
};
