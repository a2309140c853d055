import { keepInAddress, openedByLink, stateOf } from './address.ts';
import type { Cursor } from './cursor.ts';
import { element, settled } from './element.ts';

const NAME = 'at';

/** An address is written once the cursor rests, ms: browsers forbid it to be written at every step. */
const KEPT_AFTER_MS = 250;

/** Keeps the cursor's station in the address and takes it from there, now and whenever the address changes. */
export function keepCursor(cursor: Cursor): void {
  const keep = settled(
    () => keepInAddress(NAME, cursor.stationM === null ? null : String(cursor.stationM)),
    KEPT_AFTER_MS,
  );
  const restore = (): void => {
    const at = stateOf(location.hash)[NAME];
    // A plain anchor says nothing about the cursor.
    if (at !== undefined && /^\d+(\.\d+)?$/.test(at)) cursor.move(Number(at), true);
  };
  restore();
  cursor.follow(keep.ask);
  addEventListener('hashchange', restore);
  addEventListener('pagehide', keep.now);
  document.addEventListener('keydown', (event) => {
    if (event.key === 'Escape' && !event.defaultPrevented && !(event.target instanceof HTMLSelectElement))
      cursor.move(null);
  });
}

/** Who follows a link to a station wants to see it. */
export function leadTo(place: Element | null): void {
  if (openedByLink() && scrollY === 0) place?.scrollIntoView({ block: 'start' });
}

/** How the cursor is moved, as the page says it below the first of its figures. */
export function keysText(id: string, stepM: number): HTMLElement {
  const unit = stepM < 1 ? ['10\u202fcm', '1\u202fm'] : ['1\u202fm', '10\u202fm'];
  const keys = (...names: string[]): HTMLElement =>
    element('span', {}, ...names.flatMap((name) => [element('kbd', {}, name), '\u00a0']).slice(0, -1));
  return element(
    'p',
    { class: 'key keys', id },
    'To read values, point at a drawing and click to hold, tap or drag sideways, or move to it with the keyboard: ',
    keys('←', '→'),
    ` ${unit[0]}, with `,
    keys('Shift'),
    ` ${unit[1]}; `,
    keys(',', '.'),
    ' the corner before and after; a corner’s number to that corner; ',
    keys('Home', 'End'),
    ' the gate; ',
    keys('Esc'),
    ' clears. The address keeps the place.',
  );
}
