import { setNote } from './setNote.ts';

/**
 * A text without directives as HTML, for texts that are not an engineer's notes.
 *
 * @param prefix distinguishes the footnotes of several texts on one page
 */
export function markdown(source: string, prefix = 'note-'): string {
  const note = {
    file: '',
    line: 1,
    text: source,
    page: '',
    id: prefix.replace(/-$/, ''),
    title: '',
    session: null,
    body: false,
  };
  return setNote(note, null)
    .blocks.map((block) => ('html' in block ? block.html : ''))
    .join('');
}
