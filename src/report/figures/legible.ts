import { keepShape } from './simplified.ts';

/**
 * The points of curves that can be told apart when drawn: each curve is thinned to a quarter pixel, and a point stays
 * where any of them needs it. Done before drawing, because a curve has some thousand points and a figure a few hundred
 * pixels.
 *
 * @param points in the order they are drawn
 * @param curves pixel position of a point on each curve; NaN where the curve has a hole, whose edges all stay
 */
export function legible<P>(points: readonly P[], curves: readonly ((point: P) => readonly [number, number])[]): P[] {
  const n = points.length;
  const keep = new Uint8Array(n);
  const xs = new Float64Array(n);
  const ys = new Float64Array(n);
  for (const place of curves) {
    let from = -1;
    for (let i = 0; i <= n; i += 1) {
      const [x, y] = i < n ? place(points[i]!) : [0, Number.NaN];
      if (Number.isFinite(y)) {
        xs[i] = x;
        ys[i] = y;
        if (from < 0) from = i;
        continue;
      }
      // One empty point stays for each hole, so that the line breaks there.
      if (i < n && (from >= 0 || i === 0)) keep[i] = 1;
      if (from >= 0) keepShape(xs, ys, from, i - 1, 0.25, keep);
      from = -1;
    }
  }
  return points.filter((_, index) => keep[index]);
}
