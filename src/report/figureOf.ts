import { FORMS, type Form } from './figures/drawing.ts';
import type { Figure } from './report.ts';

type Draw = (form: Form, id: string, name: string) => string;

/**
 * A figure in the forms that it is shown in. `draw` gets the form, a prefix for ids and the name that is read aloud. It is
 * drawn when it is first looked at: who only wants the table behind it waits for no drawing.
 *
 * @param half drawn once, to stand beside another figure; otherwise once across the page and once for a phone
 */
export function figureOf(own: Omit<Figure, 'drawings'>, draw: Draw, half = false): Figure {
  const name = `${own.title}. ${own.caption}`;
  const forms = half ? [FORMS.half] : [FORMS.wide, FORMS.narrow];
  let drawings: readonly string[] | undefined;
  return {
    ...own,
    get drawings() {
      return (drawings ??= forms.map((form) => draw(form, `${own.id}-${form.name}`, name)));
    },
  };
}
