/**
 * A drawn line with the points left out that nobody could see (Douglas and Peucker 1973): what is left stays within
 * `tolerance` of every point. First and last point are kept.
 *
 * @param points pixel coordinates; what else a point carries goes with it
 * @param tolerance pixels
 */
export function simplified<P extends readonly [number, number, ...unknown[]]>(
  points: readonly P[],
  tolerance: number,
): P[] {
  const n = points.length;
  if (n < 3) return [...points];
  const xs = new Float64Array(n);
  const ys = new Float64Array(n);
  points.forEach((point, i) => {
    xs[i] = point[0];
    ys[i] = point[1];
  });
  const keep = new Uint8Array(n);
  keepShape(xs, ys, 0, n - 1, tolerance, keep);
  return points.filter((_, i) => keep[i]);
}

/** Marks in `keep` which of the points `from` to `to` (both included, both kept) the simplified line needs. */
export function keepShape(
  xs: Float64Array,
  ys: Float64Array,
  from: number,
  to: number,
  tolerance: number,
  keep: Uint8Array,
): void {
  keep[from] = keep[to] = 1;
  const stack = [to, from];
  while (stack.length > 0) {
    const first = stack.pop()!;
    const last = stack.pop()!;
    const ax = xs[first]!;
    const ay = ys[first]!;
    const dx = xs[last]! - ax;
    const dy = ys[last]! - ay;
    const length2 = dx * dx + dy * dy;
    let worst = tolerance * tolerance;
    let at = -1;
    for (let i = first + 1; i < last; i += 1) {
      const px = xs[i]! - ax;
      const py = ys[i]! - ay;
      const along = length2 === 0 ? 0 : Math.max(0, Math.min(1, (px * dx + py * dy) / length2));
      const ex = px - along * dx;
      const ey = py - along * dy;
      const d2 = ex * ex + ey * ey;
      if (d2 > worst) {
        worst = d2;
        at = i;
      }
    }
    if (at < 0) continue;
    keep[at] = 1;
    stack.push(at, first, last, at);
  }
}
