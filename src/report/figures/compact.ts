/** Markup of a drawing in fewer letters: what is drawn stays the same to the tenth of a pixel that coordinates have. */

/**
 * A drawing's markup with rectangles and lines of one ink that follow each other joined to a path, and paths written as
 * steps from point to point.
 *
 * @param markup with coordinates to one decimal
 */
export const compact = (markup: string): string =>
  joinedPaths(joinedRects(markup)).replace(/ d="([^"]*)"/g, (_, d: string) => ` d="${compactPath(d)}"`);

/** A command with its numbers, or the letter that closes a piece. */
const COMMAND = /([MLHVZmlhv])([^A-Za-z]*)/g;
const NUMBER = /-?\d*\.?\d+/g;

/**
 * Path data of straight lines as steps in tenths of a pixel, which add up without error; other paths, and those with more
 * decimals, stay as they are.
 */
export function compactPath(d: string): string {
  if (/[^MLHVZmlhv\d.,\-\s]/.test(d)) return d;
  let text = '';
  let [x, y, startX, startY] = [0, 0, 0, 0];
  // What the next numbers would mean without a letter before them.
  let implied = '';
  // Of what stands last in the text.
  let [digit, point] = [false, false];
  const put = (letter: string, ...steps: number[]): void => {
    if (letter !== implied) {
      text += letter;
      digit = false;
    }
    for (const step of steps) {
      const size = Math.abs(step);
      const [whole, tenth] = [Math.floor(size / 10), size % 10];
      const bare = tenth > 0 && whole === 0;
      // A sign begins a number, and so does a second point.
      if (step < 0) text += '-';
      else if (digit && !(bare && point)) text += ' ';
      if (!bare) text += whole;
      if (tenth > 0) text += `.${tenth}`;
      [digit, point] = [true, tenth > 0];
    }
    implied = letter === 'm' ? 'l' : letter === 'M' ? '' : letter;
  };
  for (const [, letter = '', rest = ''] of d.matchAll(COMMAND)) {
    const numbers = (rest.match(NUMBER) ?? []).map((n) => Number(n) * 10);
    if (numbers.some((n) => Math.abs(n - Math.round(n)) > 1e-6)) return d;
    const tenths = numbers.map(Math.round);
    if (letter === 'Z') {
      [x, y] = [startX, startY];
      put('z');
      continue;
    }
    const kind = letter.toLowerCase();
    const relative = kind === letter;
    for (let i = 0; i < tenths.length; i += kind === 'h' || kind === 'v' ? 1 : 2) {
      const toX = kind === 'v' ? x : tenths[i]! + (relative ? x : 0);
      const toY = kind === 'h' ? y : tenths[kind === 'v' ? i : i + 1]! + (relative ? y : 0);
      const [dx, dy] = [toX - x, toY - y];
      [x, y] = [toX, toY];
      // Numbers after the first pair of an M are lines.
      if (kind === 'm' && i === 0) {
        [startX, startY] = [x, y];
        if (text === '') put('M', x, y);
        else put('m', dx, dy);
      } else if (dy === 0) put('h', dx);
      else if (dx === 0) put('v', dy);
      else put('l', dx, dy);
    }
  }
  return text;
}

const RUN_OF_RECTS = /(?:<rect(?: [a-z-]+="[^"]*")* ?\/>){2,}/g;
const PLACE = ['x', 'y', 'width', 'height'];

/** Rectangles that follow each other as one path for each ink, in the order of the first of each. */
function joinedRects(markup: string): string {
  return markup.replace(RUN_OF_RECTS, (run) => {
    const paths = new Map<string, string>();
    for (const [rect] of run.matchAll(/<rect[^>]*>/g)) {
      const attributes = [...rect.matchAll(/ ([a-z-]+)="([^"]*)"/g)].map(([, name, value]) => [name!, value!] as const);
      const of = Object.fromEntries(attributes);
      if (['rx', 'id', 'transform'].some((name) => name in of)) return run;
      const ink = attributes.flatMap(([name, value]) => (PLACE.includes(name) ? [] : [` ${name}="${value}"`])).join('');
      const [x, y, width, height] = PLACE.map((name) => of[name] ?? '0');
      paths.set(ink, `${paths.get(ink) ?? ''}M${x},${y}h${width}v${height}h-${width}Z`);
    }
    return [...paths].map(([ink, d]) => `<path d="${d}"${ink}/>`).join('');
  });
}

const RUN_OF_PATHS = /<path d="[^"]*"([^>]*)\/>(?:<path d="[^"]*"\1\/>)+/g;
const ONE_LINE = /^M[^A-Za-z]*[HVLhvl][^A-Za-z]*$/;

/** Lines of one ink that follow each other as one path, where it does not matter which of them lies on top. */
const joinedPaths = (markup: string): string =>
  markup.replace(RUN_OF_PATHS, (run, ink: string) => {
    const lines = [...run.matchAll(/ d="([^"]*)"/g)].map(([, d]) => d!);
    // Filled shapes of opposite turns would cut holes into each other.
    const unfilled = ink.includes('fill="none"') || (!ink.includes('fill=') && lines.every((d) => ONE_LINE.test(d)));
    return !unfilled || / (id|transform)=|opacity/.test(ink) ? run : `<path d="${lines.join('')}"${ink}/>`;
  });
