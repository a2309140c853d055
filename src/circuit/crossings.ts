import { type ClosedLine, LinePoint } from './line.ts';

/** Where the line goes through a straight segment. */
export interface Crossing {
  readonly stationM: number;
  /** Share of the way from the first end to the second. */
  readonly share: number;
  /** Sine of the angle from the direction of travel to the segment: 1 when it points left, -1 right, near 0 along. */
  readonly sine: number;
}

/** Steps along the line, as a share of the segment's length; and least and most steps over the whole line. */
const STEP_SHARE = 1 / 8;
const LEAST_STEPS = 2000;
const MOST_STEPS = 200_000;

/**
 * Every place where the line crosses the segment from (eastA, northA) to (eastB, northB), ends included, by station.
 * Two crossings closer together than an eighth of the segment count as none, as a line that touches does.
 */
export function crossings(
  line: ClosedLine,
  eastA: number,
  northA: number,
  eastB: number,
  northB: number,
): readonly Crossing[] {
  const dx = eastB - eastA;
  const dy = northB - northA;
  const length = Math.hypot(dx, dy);
  if (!(length > 0)) return [];
  const place = new LinePoint();
  /** Signed distance from the straight line through the segment. */
  const side = (stationM: number): number => {
    line.at(stationM, place);
    return (dx * (place.northM - northA) - dy * (place.eastM - eastA)) / length;
  };
  const wanted = Math.ceil(line.lengthM / (STEP_SHARE * length));
  const steps = Math.min(MOST_STEPS, Math.max(LEAST_STEPS, wanted));
  const found: Crossing[] = [];
  let before = side(0);
  for (let k = 1; k <= steps; k++) {
    const after = side((k / steps) * line.lengthM);
    if (before < 0 !== after < 0) {
      const stationM = bisect(side, ((k - 1) / steps) * line.lengthM, (k / steps) * line.lengthM, before);
      line.at(stationM, place);
      const share = ((place.eastM - eastA) * dx + (place.northM - northA) * dy) / (length * length);
      const sine = (Math.cos(place.headingRad) * dy - Math.sin(place.headingRad) * dx) / length;
      if (share >= 0 && share <= 1) found.push({ stationM: stationM % line.lengthM, share, sine });
    }
    before = after;
  }
  return found;
}

function bisect(f: (x: number) => number, from: number, to: number, fFrom: number): number {
  let [low, high] = [from, to];
  for (let round = 0; round < 60; round++) {
    const middle = (low + high) / 2;
    if (f(middle) < 0 === fFrom < 0) low = middle;
    else high = middle;
  }
  return (low + high) / 2;
}
