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
  const keep = new Uint8Array(n);
  keep[0] = keep[n - 1] = 1;
  const stack = [n - 1, 0];
  while (stack.length > 0) {
    const first = stack.pop()!;
    const last = stack.pop()!;
    const [ax, ay] = points[first]!;
    const dx = points[last]![0] - ax;
    const dy = points[last]![1] - ay;
    const length2 = dx * dx + dy * dy;
    let worst = tolerance * tolerance;
    let at = -1;
    for (let i = first + 1; i < last; i += 1) {
      const [x, y] = points[i]!;
      const along = length2 === 0 ? 0 : Math.max(0, Math.min(1, ((x - ax) * dx + (y - ay) * dy) / length2));
      const ex = x - ax - along * dx;
      const ey = y - ay - along * dy;
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
  return points.filter((_, i) => keep[i]);
}
