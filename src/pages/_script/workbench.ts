import {
  ALL,
  type Exchange,
  exchangeWords,
  PART_TITLES,
  PARTS,
  partsOf,
  type Taken,
} from '../../report/causes/exchange.ts';
import { keepInAddress, openedByLink, stateOf } from './address.ts';
import { element } from './element.ts';

const NAME = 'take';
/** What stands in the address for everything, and for what is no part of any corner. */
const EVERYTHING = 'all';
const REST = 'rest';

/** A box in a cell of the table: the parts that it stands for, by stretch. */
interface Box {
  readonly input: HTMLInputElement;
  readonly cell: HTMLElement;
  readonly masks: readonly number[];
  readonly rest: boolean;
}

/** Puts a box into each cell of the table of exchanges, and below it says what lap the ticked ones give. */
export function workbench(): void {
  const place = document.getElementById('workbench');
  const text = document.getElementById('workbench-data')?.textContent;
  const table = place?.querySelector('table');
  if (!place || !table || !text) return;
  const data = JSON.parse(text) as Exchange;
  const parts = data.stretches.map(partsOf);
  const none = parts.map(() => 0);
  let taken: Taken = fromAddress() ?? { masks: none, rest: false };

  const boxes = [...boxesOf(table)];
  const words = element('p', { class: 'words', role: 'status' });
  const all = element('button', { type: 'button' }, 'Take everything');
  const nothing = element('button', { type: 'button' }, 'Take nothing');
  place.before(
    element(
      'p',
      { class: 'tools' },
      'Tick what to take from the reference lap; arrow keys go from box to box. The address keeps the choice.',
    ),
  );
  place.append(element('div', { class: 'bar' }, words, element('p', { class: 'tools' }, all, ' ', nothing)));
  show();
  if (fromAddress() && openedByLink() && scrollY === 0) place.closest('section')?.scrollIntoView();

  for (const box of boxes)
    box.input.addEventListener('change', () => {
      const { checked } = box.input;
      take({
        masks: taken.masks.map((mask, i) => (checked ? mask | box.masks[i]! : mask & ~box.masks[i]!)),
        rest: box.rest ? checked : taken.rest,
      });
    });
  all.addEventListener('click', () => take({ masks: parts, rest: true }));
  nothing.addEventListener('click', () => take({ masks: none, rest: false }));
  table.addEventListener('keydown', (event) => {
    const next = event.target instanceof HTMLInputElement && neighbour(event.target, event.key);
    if (!next) return;
    event.preventDefault();
    next.focus();
  });
  addEventListener('hashchange', () => {
    const asked = fromAddress();
    if (!asked) return;
    taken = asked;
    show();
  });

  function take(choice: Taken): void {
    taken = choice;
    keepInAddress(NAME, written());
    show();
  }

  function show(): void {
    words.textContent = exchangeWords(data, taken);
    for (const { input, cell, masks, rest } of boxes) {
      const wanted = masks.some((mask, i) => (taken.masks[i]! & mask) !== mask);
      const some = masks.some((mask, i) => (taken.masks[i]! & mask) !== 0);
      input.checked = rest ? taken.rest : !wanted;
      input.indeterminate = !rest && wanted && some;
      cell.classList.toggle('taken', input.checked);
    }
  }

  /** A box for each cell that stands for something: a part, a corner, a part in every corner, all of it, the rest. */
  function* boxesOf(of: HTMLTableElement): Generator<Box> {
    const put = (cell: HTMLElement | undefined, name: string, masks: readonly number[], rest = false): Box[] => {
      const value = cell?.textContent?.trim();
      if (!cell || !value || (!rest && masks.every((mask) => mask === 0))) return [];
      const input = element('input', { type: 'checkbox', 'aria-label': `${name}, ${value}\u202fs` });
      cell.replaceChildren(element('label', {}, input, value));
      return [{ input, cell, masks, rest }];
    };
    const columns = [...PARTS.map((_, bit) => 1 << bit), ALL];
    const titles = [...PART_TITLES, 'all four'];
    const rows = [...of.tBodies[0]!.rows];
    for (const [k, row] of rows.entries())
      for (const [c, column] of columns.entries())
        yield* put(
          row.cells[c + 1],
          `${data.stretches[k]!.words}, ${titles[c]}`,
          parts.map((mask, i) => (i === k ? mask & column : 0)),
        );
    const [every, left] = [...(of.tFoot?.rows ?? [])];
    for (const [c, column] of columns.entries())
      yield* put(
        every?.cells[c + 1],
        `every corner, ${titles[c]}`,
        parts.map((mask) => mask & column),
      );
    yield* put(left?.cells[columns.length], 'the rest', none, true);
  }

  /** The next box in the direction of an arrow key, over cells that have none. */
  function neighbour(input: HTMLInputElement, key: string): HTMLInputElement | undefined {
    const at = input.closest('td')!;
    const row = at.parentElement as HTMLTableRowElement;
    const boxIn = (cell: Element | undefined): HTMLInputElement | null | undefined => cell?.querySelector('input');
    const rows = [...table!.rows];
    const along = {
      ArrowRight: [...row.cells].slice(at.cellIndex + 1),
      ArrowLeft: [...row.cells].slice(0, at.cellIndex).reverse(),
      ArrowDown: rows.slice(row.rowIndex + 1).map((r) => r.cells[at.cellIndex]),
      ArrowUp: rows
        .slice(0, row.rowIndex)
        .reverse()
        .map((r) => r.cells[at.cellIndex]),
    }[key];
    return along?.map(boxIn).find((box) => box) ?? undefined;
  }

  /** `6.entry.exit,7.line,rest`; null where nothing is taken. */
  function written(): string | null {
    const whole = taken.masks.every((mask, i) => mask === parts[i]);
    if (whole && taken.rest) return EVERYTHING;
    const some = data.stretches.flatMap(({ key }, i) =>
      taken.masks[i] ? [[key, ...PARTS.filter((_, bit) => (taken.masks[i]! >> bit) & 1)].join('.')] : [],
    );
    return [...some, ...(taken.rest ? [REST] : [])].join(',') || null;
  }

  /** The choice in the address; what is in no corner of this lap is left out. Null where it says nothing. */
  function fromAddress(): Taken | null {
    const asked = stateOf(location.hash)[NAME];
    if (asked === undefined) return null;
    if (asked === EVERYTHING) return { masks: parts, rest: true };
    const tokens = asked.split(',').map((token) => token.split('.'));
    return {
      masks: data.stretches.map(({ key }, i) => {
        const names = tokens.filter(([own]) => own === key).flatMap(([, ...rest]) => rest);
        return PARTS.reduce((mask, part, bit) => (names.includes(part) ? mask | (1 << bit) : mask), 0) & parts[i]!;
      }),
      rest: tokens.some(([own]) => own === REST),
    };
  }
}
