import type { Directive } from '../directive.ts';
import { element, textNode } from '../tree.ts';
import { readValue, VALUE_KEYS } from '../value.ts';
import { spreadWords, written } from '../written.ts';

/** A number of the data, as it is now. */
export const value: Directive = {
  name: 'value',
  form: 'sentence',
  means:
    'A quantity as the data have it now, with its unit and as many digits as its uncertainty allows. The first word says which quantity.',
  keys: VALUE_KEYS,
  example: ({ session, corner }) =>
    `The gap is :value{gap of=${session}}, of which :value{loss of=${session} corner=${corner}} in corner ${corner}.`,
  read({ given, results, note }) {
    const { reading, against } = readValue(given, results, note.session, []);
    const text = written(reading, against !== null);
    const title = reading.value === null ? reading.why : spreadWords(reading);
    return {
      html: () => [element('span', { className: ['value'], ...(title ? { title } : {}) }, [textNode(text)])],
    };
  },
};
