import { MISSING, metres } from '../../report/words.ts';
import { type Cursor, placeAt } from './cursor.ts';
import { element, settled } from './element.ts';

/** One value that is read off at the cursor. */
export interface Reading {
  /** Heads the value; with its unit. */
  title(): string;
  /** As it stands in the row. */
  text(stationM: number): string;
  /** As it is said; empty for what need not be said. */
  spoken(stationM: number): string;
  tone?(stationM: number): 'loss' | 'gain' | '';
}

/** After so long at rest the values are said aloud, ms. */
const SPOKEN_AFTER_MS = 600;

/** The row below a figure that holds the values at the cursor; dashes as long as there is none. */
export function readingsRow(cursor: Cursor, readings: readonly Reading[]): HTMLElement {
  const cells = [
    { title: () => 'station', text: (s: number) => metres(s, cursor.stepM < 1 ? 1 : 0) },
    { title: () => 'place', text: (s: number) => placeAt(cursor.track, s) },
    ...readings,
  ].map((reading: Omit<Reading, 'spoken'>) => ({ reading, title: element('dt'), value: element('dd') }));
  const list = element('dl', {}, ...cells.map(({ title, value }) => element('div', {}, title, value)));
  const state = element('span');
  const clear = element('button', { type: 'button' }, 'clear');
  clear.addEventListener('click', () => cursor.move(null));
  const row = element('div', { class: 'readings' }, list, element('p', {}, state, clear));
  const paint = (): void => {
    const s = cursor.stationM;
    for (const { reading, title, value } of cells) {
      title.textContent = reading.title();
      value.textContent = s === null ? MISSING : reading.text(s);
      value.className = (s === null ? 'quiet' : reading.tone?.(s)) ?? '';
    }
    row.classList.toggle('empty', s === null);
    state.textContent = s === null ? 'point or tap to read' : cursor.held ? 'held ' : '';
    clear.hidden = s === null;
  };
  cursor.follow(paint);
  paint();
  return row;
}

/** The one place of the page that says the values aloud, politely and not at every step. */
export function speak(cursor: Cursor, readings: readonly Reading[]): HTMLElement {
  const region = element('p', { class: 'spoken', role: 'status', 'aria-live': 'polite' });
  const say = settled(() => {
    const s = cursor.stationM;
    region.textContent =
      s === null
        ? ''
        : `${[[metres(s), placeAt(cursor.track, s)].filter(Boolean).join(', '), ...readings.map((r) => r.spoken(s)).filter(Boolean)].join('. ')}.`;
  }, SPOKEN_AFTER_MS);
  cursor.follow(say.ask);
  return region;
}
