/**
 * Curves on their way to the script of a page: fewer samples, whole numbers, each as the step from the one before in a
 * letter or two, so that a page stays small. `packed` is called when the page is made, `unpacked` by the script.
 */

/**
 * A curve on chosen grid points. Each step is a base-64 VLQ as source maps have them (ECMA-426): five bits a letter, the
 * lowest first and with the sign in the lowest of all, the sixth bit says that more follow. A full stop where nothing is
 * known.
 */
export type Packed = string;

const LETTERS = 'ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/';
const UNKNOWN = '.';

/**
 * Which points of a grid are kept: both ends, and between them as even a choice as whole numbers allow.
 *
 * @param steps the grid has the points 0 to steps
 * @param most intervals at most
 */
export function keptPoints(steps: number, most: number): number[] {
  const n = Math.max(1, Math.min(steps, most));
  return Array.from({ length: n + 1 }, (_, i) => Math.round((i * steps) / n));
}

/**
 * Values at the kept points, rounded to whole units of 1/scale and written as differences to the last known value.
 * Rounding errors do not add up.
 */
export function packed(values: readonly (number | null)[], points: readonly number[], scale: number): Packed {
  let last = 0;
  return points
    .map((point) => {
      const value = values[point];
      if (value === null || value === undefined || !Number.isFinite(value)) return UNKNOWN;
      const whole = Math.round(value * scale);
      const step = whole - last;
      last = whole;
      return lettersOf(step);
    })
    .join('');
}

/** A whole number of less than 2^30 in letters. */
function lettersOf(step: number): string {
  let rest = Math.abs(step) * 2 + (step < 0 ? 1 : 0);
  let text = '';
  for (; rest > 31; rest >>>= 5) text += LETTERS[(rest & 31) | 32];
  return text + LETTERS[rest];
}

/** What `packed` was given, to half a unit; NaN where nothing is known. */
export function unpacked(curve: Packed, scale: number): Float64Array {
  const values: number[] = [];
  let whole = 0;
  let number = 0;
  let bits = 0;
  for (const letter of curve) {
    if (letter === UNKNOWN) {
      values.push(Number.NaN);
      continue;
    }
    const digit = LETTERS.indexOf(letter);
    number |= (digit & 31) << bits;
    bits += 5;
    if (digit > 31) continue;
    whole += number & 1 ? -(number >> 1) : number >> 1;
    values.push(whole / scale);
    number = bits = 0;
  }
  return Float64Array.from(values);
}

/** A page may carry no markup in its data: `<` is written as an escape, which JSON reads as the same. */
export const embedded = (data: unknown): string => JSON.stringify(data).replaceAll('<', '\\u003c');
