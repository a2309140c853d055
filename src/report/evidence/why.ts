import type { EditionRecord } from '../../campaign/editions.ts';
import { listWords } from '../words.ts';

/** One kind of reason for which figures of two editions may differ. */
export interface Reason {
  readonly kind: 'data' | 'notes' | 'method' | 'tool';
  /** What changed, in words; null where nothing did. */
  readonly changed: string | null;
}

/** So many files are named one by one. */
const MOST = 6;

/** What is not alike in the things that two editions were made from. */
export function why(before: EditionRecord, now: EditionRecord): readonly Reason[] {
  const data = difference(before.data, now.data);
  // A text whose numbers changed is data; only its prose, or anything in a text that no number comes from, is a note.
  const notes = difference(
    before.notes,
    now.notes,
    (name) => name in before.data && before.data[name] !== now.data[name],
  );
  const withheld = (e: EditionRecord): string =>
    e.withheld.length > 0 ? `without ${listWords(e.withheld)}` : 'with every channel';
  return [
    {
      kind: 'data',
      changed: joined([
        data,
        withheld(before) === withheld(now) ? null : `${withheld(now)}, before ${withheld(before)}`,
      ]),
    },
    { kind: 'notes', changed: notes },
    {
      kind: 'method',
      changed: before.method === now.method ? null : `version ${now.method}, before version ${before.method}`,
    },
    {
      kind: 'tool',
      changed:
        before.code === now.code
          ? null
          : before.tool !== now.tool || before.node !== now.node
            ? `gapbook ${now.tool} on Node ${now.node}, before gapbook ${before.tool} on Node ${before.node}`
            : `the source or a package of gapbook ${now.tool} changed, its version number did not`,
    },
  ];
}

const joined = (parts: readonly (string | null)[]): string | null => {
  const said = parts.filter((part) => part !== null);
  return said.length > 0 ? said.join('; ') : null;
};

function difference(
  before: Readonly<Record<string, string>>,
  now: Readonly<Record<string, string>>,
  except: (name: string) => boolean = () => false,
): string | null {
  const names = [...new Set([...Object.keys(before), ...Object.keys(now)])].sort().filter((name) => !except(name));
  const said = (of: readonly string[], word: string): string | null =>
    of.length === 0
      ? null
      : `${listWords(of.length > MOST ? [...of.slice(0, MOST), `${of.length - MOST} more`] : of)} ${word}`;
  return joined([
    said(
      names.filter((name) => name in before && name in now && before[name] !== now[name]),
      'changed',
    ),
    said(
      names.filter((name) => !(name in before)),
      'new',
    ),
    said(
      names.filter((name) => !(name in now)),
      'gone',
    ),
  ]);
}
