import { z } from 'zod';
import type { Problem } from '../problem.ts';
import { lapTime, quantity } from '../units.ts';
import type { ReferenceChoice } from './campaignFile.ts';
import { frontMatter, type Yaml } from './frontMatter.ts';

/** A line of Markdown with the line of the file it stands on. */
interface Line {
  readonly text: string;
  readonly line: number;
}

/** What was to be reached: a target of the campaign by its name, or one of the milestone's own. */
export type MilestoneTarget =
  | { readonly named: string }
  | { readonly gapS: number | null; readonly lapTimeS: number | null; readonly due: string | null };

/** What a person wrote about a milestone. */
export interface MilestoneSetup {
  /** Name of its file without `.md`; it names the page and the editions. */
  readonly id: string;
  /** As the user knows it. */
  readonly file: string;
  readonly title: string;
  /** Day of the review; sessions after it say nothing about this milestone. */
  readonly date: string;
  readonly target: MilestoneTarget;
  /** Sessions, or runs of them, that the verdict stands on; empty where nobody named any. */
  readonly evidence: readonly (ReferenceChoice & { readonly line: number })[];
  /** Greatest chance of a false pass that is taken, 0 to 0.5. */
  readonly risk: number;
  /** What the evidence must be beside fast; null and false where it was not asked for. */
  readonly requires: { readonly laps: number | null; readonly official: boolean; readonly surface: string | null };
  /** The brief's sentences in place of the computed ones, by their place; null keeps the computed one. */
  readonly sentences: readonly (Line | null)[];
  readonly decisions: readonly Line[];
  readonly risks: readonly Line[];
  readonly limits: readonly Line[];
  readonly signatures: readonly {
    readonly role: string;
    readonly name: string | null;
    readonly date: string | null;
  }[];
  /** Body, Markdown. */
  readonly text: string;
  /** Line of the file on which that begins. */
  readonly line: number;
}

/** Chance of a false pass where the file says nothing. */
const USUAL_RISK = 0.05;
/** Sentences that a brief has. */
const SENTENCES = 3;
const ID = /^[A-Za-z0-9][A-Za-z0-9._-]*$/;

const day = z
  .string({ error: 'a date, `2026-02-27`' })
  .regex(/^\d{4}-(0[1-9]|1[0-2])-(0[1-9]|[12]\d|3[01])$/, { error: 'a date, `2026-02-27`' });

const seconds = z
  .union([z.string(), z.number()], { error: 'a time such as `"5 s"` or `"1:32.4"`' })
  .transform((g, ctx) => {
    const value = typeof g === 'number' ? g : (quantity(g, 's') ?? lapTime(g));
    if (value !== null) return value;
    ctx.addIssue({ code: 'custom', message: 'a time such as `"5 s"` or `"1:32.4"`' });
    return z.NEVER;
  });

/** Letters that a title, a sentence and a line of a list may have, so that a brief stays on one page. */
const TITLE_LETTERS = 80;
export const SENTENCE_LETTERS = 280;
const sentence = z
  .string({ error: 'a sentence, as text' })
  .max(SENTENCE_LETTERS, { error: `at most ${SENTENCE_LETTERS} letters, so that the brief stays on one page` });
const sentences = z.array(sentence, { error: 'a list of sentences: `- Another day with the circuit’s own timing`' });

const targetShape = { gap: seconds.optional(), lapTime: seconds.optional(), due: day.optional() };
const requiresShape = {
  laps: z.number({ error: 'a number of laps' }).int().min(1).optional(),
  official: z.boolean({ error: '`true` or `false`' }).optional(),
  surface: z.string({ error: 'a surface, as in the conditions of a session: `dry`' }).optional(),
};
const signatureShape = {
  role: z.string({ error: 'what the signature stands for: `Lead engineer`' }),
  name: z.string().optional(),
  date: day.optional(),
};
const shape = {
  title: z
    .string({ error: 'a title, as text' })
    .max(TITLE_LETTERS, { error: `a title of at most ${TITLE_LETTERS} letters` }),
  date: day,
  target: z.union(
    [
      z.string(),
      z.strictObject(targetShape).refine((t) => (t.gap === undefined) !== (t.lapTime === undefined), {
        error: 'either `gap:` or `lapTime:`',
      }),
    ],
    {
      error:
        'the name of a target of campaign.md, or `{ gap: "5 s", due: 2026-03-31 }` with either `gap:` or `lapTime:`',
    },
  ),
  evidence: z
    .array(
      z.string().regex(/^[^/]+(\/[^/]+(\/\d+)?)?$/, {
        error: 'a session, `2026-02-24-track`, with `/run-01.csv` and `/3` behind it where wanted',
      }),
      { error: 'a list of sessions: `[2026-02-24-track]`' },
    )
    .optional(),
  risk: z
    .number({ error: 'a chance such as `0.05`' })
    .min(0.001, { error: 'a chance from `0.001` to `0.5`' })
    .max(0.5, { error: 'a chance from `0.001` to `0.5`; more than that would call a miss a pass' })
    .optional(),
  requires: z.strictObject(requiresShape).optional(),
  sentences: z
    .array(z.union([sentence, z.null()]), { error: 'a list of at most three sentences; `null` keeps the computed one' })
    .max(SENTENCES, { error: 'at most three sentences' })
    .optional(),
  decisions: sentences.optional(),
  risks: sentences.optional(),
  limits: sentences.optional(),
  signatures: z.array(z.strictObject(signatureShape), { error: 'a list: `- { role: Lead engineer }`' }).optional(),
};

const NESTED: Readonly<Record<string, readonly string[]>> = {
  target: Object.keys(targetShape),
  requires: Object.keys(requiresShape),
  signatures: Object.keys(signatureShape),
};
const keysAt = (path: readonly PropertyKey[]): readonly string[] => NESTED[String(path[0])] ?? Object.keys(shape);

/**
 * Reads the file of a milestone: what was to be reached, on which evidence, under which risk, and what is asked for.
 *
 * @param file `milestones/one-second.md`; its name is the milestone's
 * @returns null where the file cannot be used, and every problem found
 */
export function readMilestoneFile(
  text: string,
  file: string,
): { milestone: MilestoneSetup | null; problems: Problem[] } {
  const id = file.replace(/^.*\//, '').replace(/\.md$/, '');
  if (!ID.test(id))
    return refused({
      code: 'VALUE_INVALID',
      severity: 'stop',
      place: { file },
      found: `\`${id}\``,
      expected: 'a name that can stand in an address: letters, digits, `.`, `_` and `-`',
      remedy: 'rename the file',
    });
  const parts = frontMatter(text, file);
  if (!parts)
    return refused({
      code: 'FRONT_MATTER',
      severity: 'stop',
      place: { file, line: 1 },
      found: 'no front matter',
      expected: 'a first line `---`, `title:`, `date:` and `target:`, and a line `---` below them',
      remedy: 'let `gapbook new milestone NAME` write the first lines',
    });
  const { yaml } = parts;
  const { value, problems } = yaml.checked(z.strictObject(shape), keysAt);
  if (value === null) return { milestone: null, problems };
  const lines = (key: string, given: readonly string[] = []): Line[] =>
    given.map((line, i) => ({ text: line, line: yaml.line([key, i]) }));
  const { target, requires } = value;
  return {
    milestone: {
      id,
      file,
      title: value.title,
      date: value.date,
      target:
        typeof target === 'string'
          ? { named: target }
          : { gapS: target.gap ?? null, lapTimeS: target.lapTime ?? null, due: target.due ?? null },
      evidence: (value.evidence ?? []).map((place, i) => ({ ...placeOf(place), line: lineOf(yaml, i) })),
      risk: value.risk ?? USUAL_RISK,
      requires: {
        laps: requires?.laps ?? null,
        official: requires?.official ?? false,
        surface: requires?.surface ?? null,
      },
      sentences: (value.sentences ?? []).map((s, i) =>
        s === null ? null : { text: s, line: yaml.line(['sentences', i]) },
      ),
      decisions: lines('decisions', value.decisions),
      risks: lines('risks', value.risks),
      limits: lines('limits', value.limits),
      signatures: (value.signatures ?? []).map((s) => ({ role: s.role, name: s.name ?? null, date: s.date ?? null })),
      text: parts.body,
      line: parts.bodyLine,
    },
    problems,
  };
}

const refused = (problem: Problem): { milestone: null; problems: Problem[] } => ({
  milestone: null,
  problems: [problem],
});

const lineOf = (yaml: Yaml, i: number): number => yaml.line(['evidence', i]);

function placeOf(place: string): ReferenceChoice {
  const [session = '', run = null, lap = null] = place.split('/');
  return { session, run, lap: lap === null ? null : Number(lap) };
}
