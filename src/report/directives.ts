import { weekOf } from '../read/isoWeek.ts';
import { type NotePart, noteParts } from './noteParts.ts';
import type { Directive, ExampleNames } from './notes/directive.ts';
import { DIRECTIVES } from './notes/directives/list.ts';
import { QUANTITIES } from './notes/quantities/list.ts';
import type { Key } from './notes/quantity.ts';
import { setNote } from './notes/setNote.ts';
import { latestSession } from './now.ts';
import { pageOf } from './pageOf.ts';
import { directivesPath, tableFolder, tableLinks } from './paths.ts';
import type { Results } from './readResults.ts';
import type { Cell, Page, Table } from './report.ts';
import { MISSING } from './words.ts';

/** What a note can hold, each with its source and what that gives. */
interface DirectiveEntry {
  readonly name: string;
  /** How it is written, without the keys. */
  readonly form: string;
  /** Text with code between backticks. */
  readonly means: string;
  readonly keys: Table | null;
  readonly source: string;
  /** The source as it comes out with the data of this campaign; null where there is nothing to show it with. */
  readonly live: readonly NotePart[] | null;
}

export interface DirectivesReport extends Page {
  readonly kind: 'directives';
  readonly directives: readonly DirectiveEntry[];
  /** Every quantity, with an example and what it gives now. */
  readonly quantities: Table;
}

const FORMS: Readonly<Record<Directive['form'], (name: string) => string>> = {
  sentence: (name) => `:${name}[words]{keys}`,
  alone: (name) => `::${name}{keys}`,
  around: (name) => `:::${name} … :::`,
};

/** Everything the page of directives says: made from the directives themselves. */
export function directivesReport(results: Results): DirectivesReport {
  const names = exampleNames(results);
  const shown = names ?? {
    session: '2026-01-08-track',
    before: '2026-01-01-track',
    lap: '2026-01-08-track/run-01.csv/3',
    corner: '4',
    week: '2026-W02',
  };
  let figure = 1;
  const live = (id: string, source: string): readonly NotePart[] | null => {
    if (!names) return null;
    const note = {
      file: directivesPath,
      line: 1,
      text: source,
      page: directivesPath,
      id,
      title: '',
      session: latestSession(results),
      body: false,
    };
    const parts = noteParts(results, setNote(note, results).blocks, directivesPath, figure);
    figure += parts.filter((part) => 'figure' in part).length;
    return parts;
  };
  return {
    kind: 'directives',
    ...pageOf(results, {
      path: directivesPath,
      name: 'Directives',
      kicker: [{ text: 'What a note can hold' }],
      headline: 'Numbers, figures and claims in prose',
      opening:
        'A note is Markdown. What begins with a colon and one of these names asks for something of the data, and is made anew each time the site is built. Whatever else begins with a colon, such as 1:32.5, is left as text.',
    }),
    directives: DIRECTIVES.map((d) => {
      const source = d.example(shown);
      return {
        name: d.name,
        form: FORMS[d.form](d.name),
        means: d.means,
        keys: d.keys.length > 0 ? keyTable(`keys-${d.name}`, d.name, d.keys) : null,
        source,
        live: live(`example-${d.name}`, source),
      };
    }),
    quantities: quantityTable(shown, (source) => {
      const html = (live('quantity', source) ?? []).map((part) => ('html' in part ? part.html : ''));
      return html
        .join('')
        .replace(/<[^>]*>/g, '')
        .trim();
    }),
  };
}

function quantityTable(shown: ExampleNames, now: (source: string) => string): Table {
  return {
    id: 'quantities',
    ...tableLinks(directivesPath, 'quantities'),
    caption: 'Quantities of values and claims',
    columns: [
      { title: 'quantity', kind: 'text' },
      { title: 'what it is', kind: 'text' },
      { title: 'keys of its own', kind: 'text' },
      { title: 'written', kind: 'text' },
      { title: 'gives now', kind: 'text' },
    ],
    rows: QUANTITIES.map((q): Cell[] => {
      const source = `:value{${[q.name, `of=${shown.session}`, q.example(shown.corner)].filter(Boolean).join(' ')}}`;
      const keys = q.keys.map(({ name, means }) => `${name}: ${means.replaceAll('`', '')}`).join('. ');
      return [
        { text: q.name, id: `of-${q.name}` },
        { text: q.means.replaceAll('`', '') },
        { text: keys === '' ? MISSING : keys },
        { text: source },
        { text: now(source) || MISSING },
      ];
    }),
  };
}

/** Names of this campaign to show examples with; null where it has no session that compares. */
function exampleNames(results: Results): ExampleNames | null {
  const session = latestSession(results);
  const lap = session?.summary?.medianLap;
  const corner = session ? results.circuit(session.circuit)?.corners[0]?.name : undefined;
  if (!session || !lap || corner === undefined) return null;
  const before =
    results.sessions.findLast(
      (s) =>
        s.date < session.date && s.circuit === session.circuit && s.stage === session.stage && s.rider.kind === 'robot',
    ) ?? session;
  return {
    session: session.session,
    before: before.session,
    lap: `${lap.session}/${lap.run}/${lap.lap}`,
    corner: /\s/.test(corner) ? `"${corner}"` : corner,
    week: weekOf(session.date).name,
  };
}

const keyTable = (id: string, name: string, keys: readonly Key[]): Table => ({
  id,
  ...tableLinks(directivesPath, id),
  caption: `Keys of ${name}`,
  columns: [
    { title: 'key', kind: 'text' },
    { title: 'what it says', kind: 'text' },
  ],
  rows: keys.map((key) => [{ text: key.name }, { text: key.means.replaceAll('`', '') }]),
});

/** Every table of the page of directives. */
export function directiveTables(results: Results): Table[] {
  const { directives, quantities } = directivesReport(results);
  const own = directives.flatMap(({ keys, live }) => [
    ...(keys ? [keys] : []),
    // Others are tables of other pages, and have their rows there.
    ...(live ?? []).flatMap((part) =>
      'table' in part && part.table.csv.startsWith(tableFolder(directivesPath)) ? [part.table] : [],
    ),
  ]);
  return [...own, quantities];
}
