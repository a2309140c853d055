import { z } from 'zod';
import type { Problem } from '../problem.ts';
import { frontMatter } from './frontMatter.ts';
import { weekNamed, weekOf } from './isoWeek.ts';

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
}

const shape = {
  title: z.string({ error: 'a title, as text' }).optional(),
  next: z
    .array(z.string({ error: 'a sentence, as text' }), { error: 'a list: `- Raise the limit of lean`' })
    .optional(),
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
      week: { week: name, file, title: null, text: text.slice(ahead.length).trim(), line, next: [] },
      problems: [],
    };
  }
  const { value, problems } = parts.yaml.checked(z.strictObject(shape), () => Object.keys(shape));
  return {
    week: {
      week: name,
      file,
      title: value?.title ?? null,
      text: parts.body,
      line: parts.bodyLine,
      next: (value?.next ?? []).map((item, i) => ({ text: item, line: parts.yaml.line(['next', i]) })),
    },
    problems,
  };
}
