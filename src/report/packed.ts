/**
 * Curves on their way to the script of a page: fewer samples, whole numbers, each as the step from the one before, so
 * that a page stays small. `packed` is called when the page is made, `unpacked` by the script.
 */

/** A curve on chosen grid points; null where nothing is known. */
export type Packed = readonly (number | null)[];

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
  return points.map((point) => {
    const value = values[point];
    if (value === null || value === undefined || !Number.isFinite(value)) return null;
    const whole = Math.round(value * scale);
    const step = whole - last;
    last = whole;
    return step;
  });
}

/** What `packed` was given, to half a unit; NaN where nothing is known. */
export function unpacked(steps: Packed, scale: number): Float64Array {
  let whole = 0;
  return Float64Array.from(steps, (step) => (step === null ? Number.NaN : (whole += step) / scale));
}

/** A page may carry no markup in its data: `<` is written as an escape, which JSON reads as the same. */
export const embedded = (data: unknown): string => JSON.stringify(data).replaceAll('<', '\\u003c');
