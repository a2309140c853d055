import { metres } from '../../report/words.ts';
import { type Cursor, placeAt } from './cursor.ts';
import { element } from './element.ts';
import type { Marked } from './marks.ts';

const SVG = 'http://www.w3.org/2000/svg';

/** Where the mouse was last: a page that scrolls below a mouse at rest moves nothing. */
let rest = { x: Number.NaN, y: Number.NaN };

/**
 * Lays a surface over the drawings of a figure by which the cursor is moved: by mouse, touch and keys. What the
 * drawings show is marked in those of them that are on view.
 *
 * @param name of the surface for screen readers
 * @param help id of the text that explains the keys
 * @returns the frame that the drawings stand in from now on
 */
export function surface(drawings: readonly Marked[], cursor: Cursor, name: string, help: string): HTMLElement {
  const handle = element('div', {
    class: 'surface',
    role: 'slider',
    tabindex: '0',
    'aria-label': name,
    'aria-describedby': help,
    'aria-valuemin': '0',
    'aria-valuemax': String(Math.round(cursor.track.lengthM)),
  });
  const frame = element('div', { class: 'frame' });
  drawings[0]!.svg.before(frame);
  frame.append(...drawings.map(({ svg }) => svg), handle);

  const layers = drawings.map((drawing) => {
    const layer = document.createElementNS(SVG, 'g');
    layer.setAttribute('class', 'cursor');
    drawing.svg.append(layer);
    return { drawing, layer };
  });
  const shown = (): Marked | undefined => drawings.find(({ svg }) => svg.getClientRects().length > 0);
  const paint = (): void => {
    const { stationM, track } = cursor;
    const onView = shown();
    for (const { drawing, layer } of layers) {
      layer.innerHTML = stationM === null || drawing !== onView ? '' : drawing.mark(stationM);
      makeRoom(drawing.svg, layer);
    }
    handle.setAttribute('aria-valuenow', String(stationM ?? 0));
    const place = stationM === null ? '' : placeAt(track, stationM);
    handle.setAttribute(
      'aria-valuetext',
      stationM === null ? 'nothing read' : [metres(stationM), place].filter(Boolean).join(', '),
    );
    handle.classList.toggle('held', cursor.held);
  };
  cursor.follow(paint);
  addEventListener('resize', paint);
  paint();

  const pointedAt = (event: PointerEvent): number | null => {
    const drawing = shown();
    if (!drawing) return null;
    const box = drawing.svg.getBoundingClientRect();
    const scale = drawing.svg.viewBox.baseVal.width / box.width;
    return drawing.stationAt((event.clientX - box.left) * scale, (event.clientY - box.top) * scale);
  };
  let asked: PointerEvent | null = null;
  const follow = (event: PointerEvent): void => {
    if (asked === null)
      requestAnimationFrame(() => {
        if (asked) cursor.move(pointedAt(asked), asked.pointerType === 'mouse' ? false : cursor.held);
        asked = null;
      });
    asked = event;
  };
  handle.addEventListener('pointermove', (event) => {
    const still = event.clientX === rest.x && event.clientY === rest.y;
    rest = { x: event.clientX, y: event.clientY };
    if (event.pointerType === 'mouse' ? !still && !cursor.held : event.buttons > 0) follow(event);
  });
  handle.addEventListener('click', (event) => {
    // A mouse holds the cursor where it is, or lets go; a finger has no other way to say where.
    const mouse = !(event instanceof PointerEvent) || event.pointerType === 'mouse';
    asked = null;
    cursor.move(pointedAt(event as PointerEvent), mouse && !cursor.held);
  });
  handle.addEventListener('keydown', (event) => {
    if (event.ctrlKey || event.altKey || event.metaKey) return;
    if (cursor.key(event.key, event.shiftKey, event.timeStamp)) event.preventDefault();
  });
  return frame;
}

/** Takes the words of a drawing out of sight that those of the mark would stand on. */
function makeRoom(svg: SVGSVGElement, layer: SVGGElement): void {
  const own = layer.querySelector('text')?.getBoundingClientRect();
  for (const text of svg.querySelectorAll<SVGTextElement>('text')) {
    if (layer.contains(text)) continue;
    const box = own && text.getBoundingClientRect();
    const clash =
      box && box.left < own.right + 6 && own.left - 6 < box.right && box.top < own.bottom && own.top < box.bottom;
    text.style.visibility = clash ? 'hidden' : '';
  }
}
