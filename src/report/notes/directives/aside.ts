import type { Directive } from '../directive.ts';
import { element } from '../tree.ts';

/** A side note. */
export const aside: Directive = {
  name: 'aside',
  form: 'around',
  means: 'A side note: on a wide page it stands in the margin, on a phone below the paragraph before it.',
  keys: [],
  example: () => ':::aside\nThe rig was **cold** that morning.\n:::\n\nWhat the side note belongs to.',
  read: () => ({ html: (children) => [element('aside', { className: ['margin'] }, children)] }),
};
