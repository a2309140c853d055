import { weekNamed } from '../../../read/isoWeek.ts';
import { cornerWords } from '../../cells.ts';
import { cornerPath, lapPath, relative, sessionPath, weekPath } from '../../paths.ts';
import type { Directive, Use } from '../directive.ts';
import { Mistake } from '../mistake.ts';
import { circuitOf, cornerOf, placeOf } from '../place.ts';
import { element, type Html, textNode } from '../tree.ts';
import { weeksOf } from '../weeksOf.ts';

/** What is named: by the key, and then the brackets hold the words; or by the brackets alone. */
function named({ given, label }: Use, key: string): { name: string; own: boolean } {
  const name = given.text(key);
  if (name !== null) return { name, own: label !== '' };
  if (label.trim() !== '') return { name: label.trim(), own: false };
  throw new Mistake(
    `\`${given.directive}\` that names nothing`,
    `\`:${given.directive}[name]\``,
    `write the name between the brackets, or \`${key}=\` between braces`,
  );
}

function link(use: Use, target: string, words: string, own: boolean): { html: (label: Html[]) => Html[] } {
  const href = relative(use.note.page, target);
  return { html: (label) => [element('a', { href }, own ? label : [textNode(words)])] };
}

const lap: Directive = {
  name: 'lap',
  form: 'sentence',
  means: 'A link to the page of a lap.',
  keys: [{ name: 'of', means: 'the lap: `2026-01-08-track/run-01.csv/3`; where it is left out, the brackets name it' }],
  example: ({ lap: name }) => `See :lap[the lap in the middle]{of=${name}}, or by its name :lap[${name}].`,
  read(use) {
    const { name, own } = named(use, 'of');
    const place = placeOf(name, use.results, use.note.session);
    if (!place.run || !place.lap)
      throw new Mistake(
        `\`${name}\`, which is no lap`,
        '`<session>/<run>/<lap>`',
        'add the run and the number of the lap',
      );
    const { session, run, lap: ridden } = place;
    const page = use.results.lap({ session: session.session, run: run.file, lap: ridden.lap })?.page ?? null;
    // A lap that nothing can be drawn of has no page; its session lists it.
    const target = page ?? sessionPath(session.session);
    return link(
      use,
      target === lapPath(session.session, run.file, ridden.lap) ? target : sessionPath(session.session),
      `lap ${ridden.lap} of ${session.session}, ${run.file}`,
      own,
    );
  },
};

const corner: Directive = {
  name: 'corner',
  form: 'sentence',
  means: 'A link to the page of a corner.',
  keys: [
    { name: 'corner', means: 'the corner as the phase map names it; where it is left out, the brackets name it' },
    { name: 'circuit', means: 'another circuit than that of the note’s session' },
  ],
  example: ({ corner: name }) => `Look at :corner[${name}], or at :corner[the place where it hurts]{corner=${name}}.`,
  read(use) {
    const { name, own } = named(use, 'corner');
    const id = use.given.text('circuit');
    const { session } = use.note;
    const circuit =
      id === null
        ? session
          ? circuitOf(use.results, session)
          : use.results.campaign.circuits[0]
        : use.results.circuit(id);
    if (!circuit)
      throw new Mistake(
        `no circuit \`${id ?? ''}\``,
        `one of ${use.results.campaign.circuits.map((c) => `\`${c.id}\``).join(', ') || 'none, as there is none'}`,
        'correct the name',
      );
    const found = cornerOf(circuit, name);
    return link(use, cornerPath(circuit.id, found.name), cornerWords(found.name), own);
  },
};

const session: Directive = {
  name: 'session',
  form: 'sentence',
  means: 'A link to the page of a session.',
  keys: [{ name: 'of', means: 'the session; where it is left out, the brackets name it' }],
  example: ({ session: name }) => `Ridden on :session[the last day]{of=${name}}.`,
  read(use) {
    const { name, own } = named(use, 'of');
    const place = placeOf(name, use.results, use.note.session);
    return link(use, sessionPath(place.session.session), place.session.session, own);
  },
};

const week: Directive = {
  name: 'week',
  form: 'sentence',
  means: 'A link to the page of a week.',
  keys: [{ name: 'of', means: 'the week, `2026-W11`; where it is left out, the brackets name it' }],
  example: ({ week: name }) => `As promised in :week[${name}].`,
  read(use) {
    const { name, own } = named(use, 'of');
    if (!weekNamed(name)) throw new Mistake(`\`${name}\``, 'a week of ISO 8601: `2026-W11`', 'correct the name');
    if (!weeksOf(use.results).includes(name))
      throw new Mistake(
        `no week \`${name}\``,
        `a week with a session or a note: ${weeksOf(use.results).slice(-5).join(', ')}`,
        'correct the name',
      );
    return link(use, weekPath(name), name, own);
  },
};

/** Links to what the campaign holds. */
export const links: readonly Directive[] = [lap, corner, session, week];
