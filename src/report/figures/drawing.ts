import * as Plot from '@observablehq/plot';
import { parseHTML } from 'linkedom';
import { compact } from './compact.ts';
import { simplified } from './simplified.ts';

/**
 * A form of a figure: across column and margin, for a phone, or beside another figure (the last serves both). Pixels of
 * its own coordinates.
 */
export interface Form {
  readonly name: 'wide' | 'narrow' | 'half';
  readonly width: number;
}

export const FORMS = {
  wide: { name: 'wide', width: 960 },
  narrow: { name: 'narrow', width: 360 },
  half: { name: 'half', width: 430 },
} as const satisfies Record<Form['name'], Form>;

/** Size of the letters in both forms, pixels. */
const FONT_PX = 12;

/** Width of a text in the figures' face, near enough to keep labels apart. */
export const textWidth = (text: string, size = FONT_PX): number =>
  [...text].reduce((sum, letter) => sum + (FULL_WIDTH.test(letter) ? 1 : 0.58), 0) * size;

/** Letters of scripts that are set as wide as high. */
const FULL_WIDTH = /[\p{Script=Han}\p{Script=Hiragana}\p{Script=Katakana}\p{Script=Hangul}\u3000-\u303f\uff01-\uff60]/u;

/** A name cut short with an ellipsis where it is wider than there is room for; at least two letters stay. */
export function fitted(text: string, room: number, size = FONT_PX): string {
  if (textWidth(text, size) <= room) return text;
  const letters = [...text];
  while (letters.length > 2 && textWidth(`${letters.join('')}…`, size) > room) letters.pop();
  return `${letters.join('').trimEnd()}…`;
}

let page: Document | undefined;

/** One document for all figures of the process, made when it is first needed: Plot only makes elements with it. */
const paper = (): Document =>
  (page ??= parseHTML('<!doctype html><html><body></body></html>').document as unknown as Document);

/** A drawn part with its size, ready to be put below others. */
export interface Panel {
  readonly markup: string;
  readonly height: number;
}

/**
 * Draws with Plot and hands back the bare content: colours and face from the page, coordinates to one decimal, lines
 * thinned to a quarter pixel, ids that depend on this figure alone.
 *
 * @param id prefix of every id inside, unique on the page
 */
export function panel(id: string, options: Plot.PlotOptions & { height: number }): Panel {
  const svg = Plot.plot({ ...options, document: paper() }) as Element;
  // Plot numbers its clip paths through the whole process, which would make a page depend on those before it.
  const names = new Map<string, string>();
  for (const element of svg.querySelectorAll('[id]')) {
    names.set(element.getAttribute('id')!, `${id}-${names.size}`);
    element.setAttribute('id', names.get(element.getAttribute('id')!)!);
  }
  for (const element of svg.querySelectorAll('style')) element.remove();
  for (const element of svg.querySelectorAll('*')) tidy(element, names);
  return { markup: svg.innerHTML, height: options.height };
}

const NOT_NUMBERS = new Set([
  'd',
  'id',
  'fill',
  'stroke',
  'clip-path',
  'text-anchor',
  'font-variant',
  'stroke-dasharray',
]);

function tidy(element: Element, names: ReadonlyMap<string, string>): void {
  for (const name of element.getAttributeNames()) {
    const value = element.getAttribute(name)!;
    if (name.startsWith('aria-') || name === 'class') element.removeAttribute(name);
    else if (name === 'd') element.setAttribute(name, thinned(value));
    else if (value.startsWith('url(#plot'))
      element.setAttribute(
        name,
        value.replace(/#([^)]+)/, (all, old: string) => (names.has(old) ? `#${names.get(old)}` : all)),
      );
    else if (!NOT_NUMBERS.has(name) && /\d\.\d\d/.test(value))
      element.setAttribute(name, value.replace(/-?\d+\.\d+/g, short));
  }
}

const short = (text: string): string => String(Math.round(Number(text) * 10) / 10 + 0);

/** Path data of straight lines with fewer points and one decimal; other paths only lose decimals. */
function thinned(d: string): string {
  if (/[^MLZ\d.,\-e\s]/.test(d)) return d.replace(/-?\d+\.\d+/g, short);
  return d
    .split('M')
    .filter(Boolean)
    .map((piece) => {
      const closed = piece.endsWith('Z');
      const points = piece
        .replace('Z', '')
        .split('L')
        .map((pair) => pair.split(',').map(Number) as [number, number]);
      return line(points, closed);
    })
    .join('');
}

/** Thinner than the thinnest line that is drawn. */
const THIN_PX = 0.4;

/** Path data through points: thinned by what nobody sees, one decimal. */
export function line(points: readonly (readonly [number, number])[], closed = false): string {
  const text = simplified(points, THIN_PX)
    .map(([x, y]) => `${one(x)},${one(y)}`)
    .join('L');
  return text && `M${text}${closed ? 'Z' : ''}`;
}

/** A coordinate to one decimal, without a negative zero. */
export const one = (value: number): string => String(Math.round(value * 10) / 10 + 0);

/** Text for markup. */
const escaped = (text: string): string =>
  text.replace(/[&<>"]/g, (c) => ({ '&': '&amp;', '<': '&lt;', '>': '&gt;', '"': '&quot;' })[c]!);

/** A word in the drawing. */
export function label(
  x: number,
  y: number,
  text: string,
  {
    anchor = 'middle',
    tone = '',
    size = FONT_PX,
  }: { anchor?: 'start' | 'middle' | 'end'; tone?: string; size?: number } = {},
): string {
  const kind = tone ? ` class="${tone}"` : '';
  // The whole drawing is anchored in the middle.
  const side = anchor === 'middle' ? '' : ` text-anchor="${anchor}"`;
  const letters = size === FONT_PX ? '' : ` font-size="${size}"`;
  return `<text x="${one(x)}" y="${one(y)}"${side}${letters}${kind}>${escaped(text)}</text>`;
}

/**
 * The finished drawing: panels one below the other, one name for screen readers.
 *
 * @param name what the figure shows, read aloud in place of it
 */
export function drawing(form: Form, panels: readonly Panel[], name: string): string {
  const height = panels.reduce((sum, part) => sum + part.height, 0);
  let top = 0;
  const parts = panels.map((part) => {
    const moved = top === 0 ? part.markup : `<g transform="translate(0,${one(top)})">${part.markup}</g>`;
    top += part.height;
    return moved;
  });
  const open = `<svg class="drawing ${form.name}" role="img" aria-label="${escaped(name)}" viewBox="0 0 ${form.width} ${one(height)}" width="${form.width}" height="${one(height)}" font-size="${FONT_PX}" text-anchor="middle" fill="currentColor">`;
  return `${open}${compact(parts.join(''))}</svg>`;
}
