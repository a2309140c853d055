import type { Ridden } from './ride.ts';

/** The state of the run at one moment. */
export interface State {
  /** Fractional node of the run. */
  readonly node: number;
  /** Station counted on over the laps, m. */
  readonly stationM: number;
  readonly x: number;
  readonly y: number;
  readonly speed: number;
}

/** Finds the state at rising or falling times, by bisection and the exact law of motion between two nodes. */
export function stateAt(run: Ridden, timeS: number): State {
  const { time, path, profile } = run;
  const n = path.count;
  let [low, high] = [0, n - 1];
  while (high - low > 1) {
    const middle = (low + high) >> 1;
    if (time[middle]! <= timeS) low = middle;
    else high = middle;
  }
  const [e0, e1] = [Math.max(0, profile.energy[low]!), Math.max(0, profile.energy[low + 1]!)];
  const length = (path.stepM * (path.pathPerStation[low]! + path.pathPerStation[low + 1]!)) / 2;
  const acceleration = (e1 - e0) / length;
  const dt = Math.min(time[low + 1]!, Math.max(time[low]!, timeS)) - time[low]!;
  const v0 = Math.sqrt(2 * e0);
  const u = Math.min(1, Math.max(0, (v0 * dt + (acceleration * dt * dt) / 2) / length));
  // cubic through both nodes with their headings
  const [c0, s0, c1, s1] = [
    Math.cos(path.heading[low]!),
    Math.sin(path.heading[low]!),
    Math.cos(path.heading[low + 1]!),
    Math.sin(path.heading[low + 1]!),
  ];
  const [b0, b1, b2, b3] = [(1 + 2 * u) * (1 - u) ** 2, u * (1 - u) ** 2, u * u * (3 - 2 * u), u * u * (u - 1)];
  return {
    node: low + u,
    stationM: path.firstM + (low + u) * path.stepM,
    x: b0 * path.x[low]! + b1 * length * c0 + b2 * path.x[low + 1]! + b3 * length * c1,
    y: b0 * path.y[low]! + b1 * length * s0 + b2 * path.y[low + 1]! + b3 * length * s1,
    speed: timeS < time[0]! || timeS > time[n - 1]! ? 0 : Math.max(0, v0 + acceleration * dt),
  };
}
