import { z } from 'zod';
import type { Problem } from '../problem.ts';
import { frontMatter } from './frontMatter.ts';
import { weekNamed, weekOf } from './isoWeek.ts';
import { SENTENCE_LETTERS } from './milestoneFile.ts';

/** What the engineer wrote about a week. */
export interface WeekNote {
  /** `2026-W11`. */
  readonly week: string;
  /** As the user knows it. */
  readonly file: string;
  readonly title: string | null;
  /** Markdown, with the line of the file on which it begins. */
  readonly text: string;
  readonly line: number;
  /** What comes next, a line of Markdown each. */
  readonly next: readonly { readonly text: string; readonly line: number }[];
  /** For the brief of the week: its sentences in place of the computed ones (null keeps one), what is asked for, risks. */
  readonly sentences: readonly ({ readonly text: string; readonly line: number } | null)[];
  readonly decisions: readonly { readonly text: string; readonly line: number }[];
  readonly risks: readonly { readonly text: string; readonly line: number }[];
}

const short = z
  .string({ error: 'a sentence, as text' })
  .max(SENTENCE_LETTERS, { error: `at most ${SENTENCE_LETTERS} letters, so that the brief stays on one page` });
const shape = {
  title: z.string({ error: 'a title, as text' }).optional(),
  next: z
    .array(z.string({ error: 'a sentence, as text' }), { error: 'a list: `- Raise the limit of lean`' })
    .optional(),
  sentences: z
    .array(z.union([short, z.null()]), { error: 'a list of at most three sentences; `null` keeps the computed one' })
    .max(3, { error: 'at most three sentences' })
    .optional(),
  decisions: z.array(short, { error: 'a list: `- Another day on the circuit`' }).optional(),
  risks: z.array(short, { error: 'a list: `- Rain on the only date`' }).optional(),
};

/**
 * Reads the note of a week. Front matter may be missing: then the whole file is the note.
 *
 * @param file `weeks/2026-W11.md`; its name is the week
 */
export function readWeekFile(text: string, file: string): { week: WeekNote | null; problems: Problem[] } {
  const name = file.replace(/^.*\//, '').replace(/\.md$/, '');
  if (!weekNamed(name))
    return {
      week: null,
      problems: [
        {
          code: 'VALUE_INVALID',
          severity: 'stop',
          place: { file },
          found: `\`${name}\`${/^\d{4}-W\d\d$/.test(name) ? ', a week that its year does not have' : ''}`,
          expected: 'a week of ISO 8601 as the name of the file: `2026-W11.md`',
          remedy: /^\d{4}-\d\d-\d\d$/.test(name) ? `that day is in ${weekOf(name).name}` : 'rename the file',
        },
      ],
    };
  const parts = frontMatter(text, file);
  if (!parts) {
    const ahead = /^\uFEFF?\s*/.exec(text)?.[0] ?? '';
    const line = ahead.split('\n').length;
    return {
      week: {
        week: name,
        file,
        title: null,
        text: text.slice(ahead.length).trim(),
        line,
        next: [],
        sentences: [],
        decisions: [],
        risks: [],
      },
      problems: [],
    };
  }
  const { value, problems } = parts.yaml.checked(z.strictObject(shape), () => Object.keys(shape));
  const lines = (key: string, given: readonly string[] = []): { text: string; line: number }[] =>
    given.map((item, i) => ({ text: item, line: parts.yaml.line([key, i]) }));
  return {
    week: {
      week: name,
      file,
      title: value?.title ?? null,
      text: parts.body,
      line: parts.bodyLine,
      next: lines('next', value?.next),
      sentences: (value?.sentences ?? []).map((item, i) =>
        item === null ? null : { text: item, line: parts.yaml.line(['sentences', i]) },
      ),
      decisions: lines('decisions', value?.decisions),
      risks: lines('risks', value?.risks),
    },
    problems,
  };
}
