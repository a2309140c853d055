/** A figure that is not what it was. */
export interface Difference {
  /** Where it stands, in words: `run-01.csv lap 3, ledger of corner 6 braking, gapS`. */
  readonly figure: string;
  readonly before: string;
  readonly now: string;
  /** How far apart two numbers are; null where they are not both numbers. */
  readonly apart: number | null;
}

/** Keys that tell the members of a list apart, in the order in which they are looked for. */
const NAMES: readonly (readonly string[])[] = [
  ['corner', 'cell', 'part'],
  ['session', 'run', 'lap'],
  ['file'],
  ['lap'],
  ['corner', 'part'],
  ['group'],
  ['cause'],
  ['id'],
  ['week'],
  ['name'],
  ['code', 'file'],
];

/** Lists whose members are called otherwise by people. */
const CALLED: Readonly<Record<string, string>> = {
  runs: 'run',
  laps: 'lap',
  ledger: 'ledger, corner',
  technique: 'technique, corner',
  cells: 'median, corner',
  windows: 'corner',
  groups: 'group',
  causes: 'cause',
};

/** How a figure is written that one of the two does not have. */
export const NOTHING = 'nothing';

/** What a long text or a whole member is cut to in a message. */
const MOST_LETTERS = 60;

/**
 * Compares two results as JSON, whatever the version of their schema, and names each figure that differs.
 *
 * @param tolerance numbers that differ by less count as equal
 */
export function compareResults(before: unknown, now: unknown, tolerance: number): Difference[] {
  const found: Difference[] = [];
  const differ = (path: readonly string[], a: unknown, b: unknown): void => {
    const apart = typeof a === 'number' && typeof b === 'number' ? Math.abs(a - b) : null;
    found.push({ figure: path.join(', ') || 'all of it', before: shown(a), now: shown(b), apart });
  };
  const walk = (path: readonly string[], a: unknown, b: unknown): void => {
    if (typeof a === 'number' && typeof b === 'number') {
      if (!(Math.abs(a - b) <= tolerance)) differ(path, a, b);
    } else if (Array.isArray(a) && Array.isArray(b)) lists(path, a, b);
    else if (isRecord(a) && isRecord(b))
      for (const key of [...new Set([...Object.keys(a), ...Object.keys(b)])])
        if (!(key in a) || !(key in b)) differ([...path, key], a[key], b[key]);
        else walk([...path, key], a[key], b[key]);
    else if (a !== b) differ(path, a, b);
  };
  const lists = (path: readonly string[], a: readonly unknown[], b: readonly unknown[]): void => {
    const keys = keysOf([...a, ...b]);
    if (keys === null) {
      if (a.length !== b.length) differ([...path, 'length'], a.length, b.length);
      for (let i = 0; i < Math.min(a.length, b.length); i++) walk([...path, String(i + 1)], a[i], b[i]);
      return;
    }
    const by = (list: readonly unknown[]): Map<string, unknown> =>
      new Map(list.map((item) => [nameOf(item, keys), item]));
    const [was, is] = [by(a), by(b)];
    const at = (name: string): string[] => [
      ...path.slice(0, -1),
      `${CALLED[path.at(-1) ?? ''] ?? path.at(-1) ?? ''} ${name}`.trim(),
    ];
    for (const name of new Set([...was.keys(), ...is.keys()]))
      if (was.has(name) && is.has(name)) walk(at(name), was.get(name), is.get(name));
      else differ(at(name), was.get(name), is.get(name));
  };
  walk([], before, now);
  return found;
}

const isRecord = (value: unknown): value is Record<string, unknown> => typeof value === 'object' && value !== null;

/** The keys by which the members of a list have names of their own; null where it is a plain list. */
function keysOf(members: readonly unknown[]): readonly string[] | null {
  if (members.length === 0 || !members.every(isRecord)) return null;
  return (
    NAMES.find(
      ([first = '', ...more]) =>
        members.every((m) => first in (m as object)) &&
        more.every((key) => key === 'part' || members.every((m) => key in (m as object))),
    ) ?? null
  );
}

function nameOf(item: unknown, keys: readonly string[]): string {
  const record = item as Record<string, unknown>;
  return keys.flatMap((key) => (record[key] === undefined ? [] : [String(record[key])])).join(' ');
}

function shown(value: unknown): string {
  if (value === undefined) return NOTHING;
  const text = JSON.stringify(value);
  return text.length > MOST_LETTERS ? `${text.slice(0, MOST_LETTERS - 1)}…` : text;
}
