import { PROBLEMS, type ProblemCode } from '../problem.ts';
import { pageOf } from './pageOf.ts';
import { problemsPath, sessionPath } from './paths.ts';
import { codesOf, type ListedProblem, problemList, problemPath } from './problemList.ts';
import { GUIDE } from './problems/guide.ts';
import type { Sheet } from './problems/guideOf.ts';
import type { Results } from './readResults.ts';
import type { Page, Particulars, Piece } from './report.ts';
import { listWords, plural, sentence } from './words.ts';

/** A file of an example, line by line. */
export interface Listing {
  readonly id: string;
  readonly file: string;
  /** The file, told apart from the same file elsewhere on the page. */
  readonly name: string;
  /** What the name of the file does not say; empty where there is nothing. */
  readonly note: string;
  readonly lines: readonly { readonly text: string; readonly differs: boolean }[];
}

/** What there is to say of one problem code. Texts hold code between backticks. */
export interface ProblemCodeReport extends Page {
  readonly kind: 'problem-code';
  readonly particulars: Particulars;
  readonly cost: string;
  readonly before: readonly Listing[];
  readonly cure: string;
  readonly after: readonly Listing[];
  readonly acceptable: boolean;
  readonly accept: string;
  /** Where this campaign has it. */
  readonly found: readonly ListedProblem[];
  readonly steps: { readonly before: Piece | null; readonly after: Piece | null };
}

const GRAVE = { stop: 'stops', warn: 'warning', note: 'note' } as const;

/** The page of a problem code: meaning, cost, example, cure, and where this campaign has it. */
export function problemCodeReport(results: Results, code: ProblemCode): ProblemCodeReport {
  const { severities, meaning, cost, before, cure, after, acceptable, accept } = GUIDE[code];
  const path = problemPath(code);
  const found = problemList(results).filter((problem) => problem.code === code);
  const codes = codesOf(results);
  const step = (by: number): Piece | null => {
    const other = codes[codes.indexOf(code) + by];
    return other === undefined ? null : { text: other, href: problemPath(other) };
  };
  return {
    kind: 'problem-code',
    ...pageOf(results, {
      path,
      date: null,
      name: code,
      kicker: [{ text: 'Problems of the input', href: problemsPath }, { text: ` · ${code}` }],
      headline: PROBLEMS[code],
      opening: meaning,
    }),
    particulars: [
      ['Code', [{ text: code }]],
      [
        'How grave',
        [{ text: sentence(listWords(severities.map((severity) => GRAVE[severity])).replace(' and ', ' or ')) }],
      ],
      ['Accept it', [{ text: acceptable ? 'In the session file' : 'Not possible' }]],
      ['Here', whereFound(found)],
    ],
    cost,
    before: before.map((sheet, i) => listing(`example-${i + 1}`, sheet, 'example', after)),
    cure,
    after: after.map((sheet, i) => listing(`cure-${i + 1}`, sheet, 'cure', before)),
    acceptable,
    accept,
    found,
    steps: { before: step(-1), after: step(1) },
  };
}

/** `3, in 2026-02-03-first and 2026-06-02-close`, each with its page. */
function whereFound(found: readonly ListedProblem[]): Piece[] {
  if (found.length === 0) return [{ text: 'Not in this campaign' }];
  const sessions = [...new Set(found.flatMap(({ session }) => (session === null ? [] : [session])))];
  const places: Piece[] = sessions.map((session) => ({ text: session, href: sessionPath(session) }));
  if (found.some(({ session }) => session === null)) places.unshift({ text: 'the campaign’s own files' });
  return [
    { text: found.length === 1 ? 'Once' : plural(found.length, 'time'), href: '#here' },
    { text: ': ' },
    ...places.flatMap((place, i) => (i === 0 ? [place] : [{ text: ', ' }, place])),
  ];
}

/** @param others the files on the other side of the comparison; a line that the file of this name lacks there differs */
function listing(id: string, { file, text, encoding }: Sheet, what: string, others: readonly Sheet[]): Listing {
  const other = others.find((sheet) => sheet.file === file)?.text.split('\n');
  return {
    id,
    file,
    name: `${file}, ${what}`,
    note: encoding === 'windows-1252' ? 'saved as Windows-1252' : '',
    lines: text
      .replace(/\n$/, '')
      .split('\n')
      .map((line) => ({ text: line, differs: other !== undefined && !other.includes(line) })),
  };
}
