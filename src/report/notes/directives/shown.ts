import type { Directive, Use, Wanted } from '../directive.ts';
import { Mistake } from '../mistake.ts';
import { circuitOf, cornerOf, type Place, placeOf } from '../place.ts';

/** What a figure or a table needs to know. */
type Needs = 'campaign' | 'session' | 'lap' | 'corner' | 'session or lap';

/** Figures by name, with the place that each shows. */
export const FIGURES: Readonly<Record<string, { readonly needs: Needs; readonly means: string }>> = {
  skyline: { needs: 'session or lap', means: 'where the time goes, phase by phase' },
  map: { needs: 'session or lap', means: 'the losses on the ground' },
  'lap-times': { needs: 'session', means: 'the laps of a session as ridden' },
  'gap-curve': { needs: 'lap', means: 'how the gap grows round the lap' },
  speeds: { needs: 'lap', means: 'speed against the reference' },
  plan: { needs: 'corner', means: 'a corner from above, with where the controls move' },
  marks: { needs: 'corner', means: 'when each control moves in a corner, session by session' },
  trend: { needs: 'corner', means: 'what a corner cost, session by session' },
  descent: { needs: 'campaign', means: 'how the gap came down' },
};

/** Tables by name. */
export const TABLES: Readonly<Record<string, { readonly needs: Needs; readonly means: string }>> = {
  laps: { needs: 'session', means: 'the laps of a session, with what counts and why not' },
  medians: { needs: 'session', means: 'corner by phase, medians of the counted laps' },
  largest: { needs: 'session', means: 'the largest losses' },
  ledger: { needs: 'lap', means: 'the ledger of a lap' },
  technique: { needs: 'lap', means: 'technique of a lap by corner' },
  sessions: { needs: 'campaign', means: 'all sessions' },
};

const OF = {
  name: 'of',
  means:
    'session or lap; the session of the note where it is left out. Where a lap is needed and a session given, its lap in the middle',
};

/** The lap that is meant where a session was named: the one in the middle of the counted ones. */
function lapIn(place: Place, use: Use): Place {
  if (place.lap) return place;
  const middle = place.session.summary?.medianLap;
  if (!middle)
    throw new Mistake(`no counted lap in ${place.session.session}`, 'a lap', 'name one: `of=<session>/<run>/<lap>`');
  return placeOf(`${middle.session}/${middle.run}/${middle.lap}`, use.results, null);
}

function wanted(use: Use, kind: Wanted['kind'], known: typeof FIGURES): { wanted: Wanted } {
  const { given, results, note } = use;
  const name = given.word(Object.keys(known), kind === 'figure' ? 'a figure' : 'a table');
  const { needs } = known[name]!;
  const none = { kind, name, of: null, against: null, corner: null };
  if (needs === 'campaign') return { wanted: none };
  const place = placeOf(given.text('of'), results, note.session);
  if (needs === 'corner') {
    const corner = cornerOf(circuitOf(results, place.session), given.needed('corner', 'the corner that is meant')).name;
    return { wanted: { ...none, of: place, corner } };
  }
  if (needs === 'lap') return { wanted: { ...none, of: lapIn(place, use) } };
  return { wanted: { ...none, of: needs === 'session' ? { ...place, run: null, lap: null } : place } };
}

const CORNER = { name: 'corner', means: 'for the figures of a corner: which one' };

/** A figure of the report. */
export const figure: Directive = {
  name: 'figure',
  form: 'alone',
  means: `A figure of the report, drawn with the data as they are: ${Object.entries(FIGURES)
    .map(([name, { means }]) => `\`${name}\`, ${means}`)
    .join('; ')}.`,
  keys: [OF, CORNER],
  example: ({ session }) => `::figure{skyline of=${session}}`,
  read: (use) => wanted(use, 'figure', FIGURES),
};

/** A table of the report. */
export const table: Directive = {
  name: 'table',
  form: 'alone',
  means: `A table of the report, with the data as they are: ${Object.entries(TABLES)
    .map(([name, { means }]) => `\`${name}\`, ${means}`)
    .join('; ')}.`,
  keys: [OF],
  example: ({ session }) => `::table{largest of=${session}}`,
  read: (use) => wanted(use, 'table', TABLES),
};

/** Two sessions or laps side by side. */
export const compare: Directive = {
  name: 'compare',
  form: 'alone',
  means: 'What every corner cost in one session or lap and in another, and the change, phase by phase.',
  keys: [OF, { name: 'against', means: 'the session or lap that it is compared with' }],
  example: ({ session, before }) => `::compare{of=${session} against=${before}}`,
  read({ given, results, note }) {
    const of = placeOf(given.text('of'), results, note.session);
    const against = placeOf(given.needed('against', 'the session or lap to compare with'), results, null);
    if (of.session.circuit !== against.session.circuit)
      throw new Mistake(
        `a comparison of ${of.session.circuit} with ${against.session.circuit}`,
        'two places on one circuit',
        'name a session of the same circuit',
      );
    return { wanted: { kind: 'table', name: 'compare', of, against, corner: null } };
  },
};
