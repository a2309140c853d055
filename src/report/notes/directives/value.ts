import type { Directive } from '../directive.ts';
import { Mistake } from '../mistake.ts';
import { element, textNode } from '../tree.ts';
import { readValue, VALUE_KEYS } from '../value.ts';
import { spreadWords, written } from '../written.ts';

/** A number of the data, as it is now. */
export const value: Directive = {
  name: 'value',
  form: 'sentence',
  means:
    'A quantity as the data have it now, with its unit and as many digits as its uncertainty allows. The first word says which quantity.',
  keys: [
    ...VALUE_KEYS,
    {
      name: 'as',
      means:
        '`size`: without its sign, where the sentence says which way; best inside a claim that holds the direction fast',
    },
  ],
  example: ({ session, corner }) =>
    `The gap is :value{gap of=${session}}, of which :value{loss of=${session} corner=${corner}} in corner ${corner}.`,
  read({ given, results, note }) {
    const { reading, against } = readValue(given, results, note.session, []);
    const size = given.oneOf('as', ['size']) !== null;
    if (size && typeof reading.value === 'string')
      throw new Mistake('`as=size` of words', 'a quantity that is a number', 'take `as` out');
    const text =
      size && typeof reading.value === 'number'
        ? written({ ...reading, value: Math.abs(reading.value) })
        : written(reading, against !== null);
    const title = reading.value === null ? reading.why : spreadWords(reading);
    return {
      html: () => [element('span', { className: ['value'], ...(title ? { title } : {}) }, [textNode(text)])],
    };
  },
};
