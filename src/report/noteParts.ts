import { cornerReport } from './corner.ts';
import { frontReport } from './front.ts';
import { lapReport } from './lap.ts';
import { largestTable } from './medians.ts';
import { setOnce } from './notes/checkedNotes.ts';
import type { Wanted } from './notes/directive.ts';
import type { Note } from './notes/note.ts';
import { placeText } from './notes/place.ts';
import type { Block } from './notes/setNote.ts';
import { cornerPath, frontPath, lapPath, sessionPath, tableLinks } from './paths.ts';
import type { Results } from './readResults.ts';
import type { Figure, Table } from './report.ts';
import { sessionReport } from './session.ts';
import { compareTable } from './weeks/change.ts';

/** A piece of a note with what its page shows. */
export type NotePart =
  | { readonly html: string }
  | { readonly figure: Figure }
  | { readonly table: Table }
  | { readonly missing: string };

/** What each figure is called on the page that has it. */
const FIGURE_IDS: Readonly<Record<string, string>> = {
  skyline: 'skyline',
  map: 'loss-map',
  'lap-times': 'lap-times',
  'gap-curve': 'gap-curve',
  speeds: 'speed-pair',
  plan: 'corner-plan',
  marks: 'technique-marks',
  trend: 'corner-trend',
  descent: 'descent',
};

/**
 * The pieces of a note, its figures and tables drawn.
 *
 * @param page site path of the page they stand on
 * @param numberedFrom number of the first figure
 */
export function noteParts(results: Results, blocks: readonly Block[], page: string, numberedFrom = 1): NotePart[] {
  let number = numberedFrom;
  return blocks.map((block): NotePart => {
    if ('html' in block) return block;
    const { wanted, id } = block;
    if (wanted.kind === 'table') {
      const table = tableOf(results, wanted, id, page);
      return table ? { table: { ...table, id } } : { missing: `There is no such table yet: ${wanted.name}.` };
    }
    const figure = figuresOf(results, wanted).find((f) => f.id === FIGURE_IDS[wanted.name]);
    return figure
      ? { figure: renamed(figure, id, number++, homeOf(wanted)) }
      : { missing: `There is no such figure yet: ${wanted.name}.` };
  });
}

/** The pieces of a note; none where there is no note. */
export const partsOf = (results: Results, note: Note | null, numberedFrom = 1): NotePart[] =>
  note ? noteParts(results, setOnce(note, results).blocks, note.page, numberedFrom) : [];

/**
 * What the pieces of a note are made from beside the session or week that they are about: a page with the same need not
 * be made again. The words as they are set, and the sessions behind what is drawn; the whole campaign where that is drawn.
 */
export function noteReads(results: Results, note: Note | null): readonly unknown[] {
  if (!note) return [];
  const { blocks } = setOnce(note, results);
  const wanted = blocks.flatMap((block) => ('wanted' in block ? [block.wanted] : []));
  const words = blocks.map((block) => ('html' in block ? block.html : [block.id, wantedText(block.wanted)]));
  if (wanted.some(({ of, corner }) => of === null || corner !== null))
    return [JSON.stringify(words), results.campaign, ...results.sessions];
  const places = wanted.flatMap(({ of, against }) => [of, against].flatMap((place) => place ?? []));
  return [
    JSON.stringify(words),
    ...places.flatMap(({ session }) => [
      session,
      results.circuit(session.circuit),
      session.reference && results.session(session.reference.session),
    ]),
  ];
}

const wantedText = ({ kind, name, of, against, corner }: Wanted): string =>
  [kind, name, of && placeText(of), against && placeText(against), corner].join(' ');

const drawn = new WeakMap<object, readonly Figure[]>();

/** The figures of the page that has the one that is wanted, drawn once for all notes. */
function figuresOf(results: Results, { of, corner }: Wanted): readonly Figure[] {
  const circuit = of && results.circuit(of.session.circuit);
  const found = circuit?.corners.find((c) => c.name === corner);
  const key = found ?? of?.lap ?? of?.session ?? results;
  let figures = drawn.get(key);
  if (!figures) drawn.set(key, (figures = make()));
  return figures;

  function make(): readonly Figure[] {
    if (!of) return frontReport(results).figures;
    if (found && circuit) {
      const report = cornerReport(results, circuit, found);
      return [...(report.plan ? [report.plan] : []), ...report.figures];
    }
    if (of.run && of.lap) {
      const lap = results.lap({ session: of.session.session, run: of.run.file, lap: of.lap.lap });
      return lap ? lapReport(results, lap).figures : [];
    }
    return sessionReport(results, of.session).figures;
  }
}

/** The table that a note on a page asks for; null where there is none. */
export function tableOf(results: Results, { name, of, against }: Wanted, id: string, page: string): Table | null {
  if (!of) return frontReport(results).sessions;
  if (name === 'compare' && against) return compareTable(results, { id, ...tableLinks(page, id) }, of, against);
  const { session, run, lap } = of;
  if (run && lap) {
    const found = results.lap({ session: session.session, run: run.file, lap: lap.lap });
    const report = found ? lapReport(results, found) : null;
    return (name === 'ledger' ? report?.ledger : report?.technique) ?? null;
  }
  if (name === 'largest') return largestTable(session, 5);
  const report = sessionReport(results, session);
  return name === 'laps' ? report.laps : report.medians;
}

/** Site path of the page that has what is wanted. */
function homeOf({ of, corner }: Wanted): string {
  if (!of) return frontPath;
  if (corner !== null) return cornerPath(of.session.circuit, corner);
  return of.run && of.lap ? lapPath(of.session.session, of.run.file, of.lap.lap) : sessionPath(of.session.session);
}

/** A figure under another id and number, so that it can stand beside itself; what leads to its own page still does. */
function renamed(figure: Figure, id: string, number: number, home: string): Figure {
  const own = new RegExp(`((?:id="|href="#|url\\(#))${figure.id}(?=[-"])`, 'g');
  return {
    ...figure,
    id,
    number,
    drawings: figure.drawings.map((svg) => svg.replace(own, `$1${id}`)),
    source: figure.source.map((piece) => (piece.href?.startsWith('#') ? { ...piece, href: home + piece.href } : piece)),
    table: { ...figure.table, id: `${id}-data` },
    tableElsewhere: false,
  };
}
