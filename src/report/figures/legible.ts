import { simplified } from './simplified.ts';

/**
 * The points of curves that can be told apart when drawn: each curve is thinned to a quarter pixel, and a point stays
 * where any of them needs it. Done before drawing, because a curve has some thousand points and a figure a few hundred
 * pixels.
 *
 * @param points in the order they are drawn
 * @param curves pixel position of a point on each curve; NaN where the curve has a hole, whose edges all stay
 */
export function legible<P>(points: readonly P[], curves: readonly ((point: P) => readonly [number, number])[]): P[] {
  const keep = new Uint8Array(points.length);
  for (const place of curves) {
    let stretch: (readonly [number, number, number])[] = [];
    const close = (): void => {
      for (const [, , index] of simplified(stretch, 0.25)) keep[index as number] = 1;
      stretch = [];
    };
    points.forEach((point, index) => {
      const [x, y] = place(point);
      if (Number.isFinite(y)) stretch.push([x, y, index]);
      else {
        // One empty point stays for each hole, so that the line breaks there.
        if (stretch.length > 0 || index === 0) keep[index] = 1;
        close();
      }
    });
    close();
  }
  return points.filter((_, index) => keep[index]);
}
