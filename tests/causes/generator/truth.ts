import type { Ride } from './ride.ts';

/** Index of the last node at or before a station. */
function nodeBefore({ stationM }: Ride, s: number): number {
  let [low, high] = [0, stationM.length - 1];
  while (high - low > 1) {
    const mid = (low + high) >> 1;
    if (stationM[mid]! <= s) low = mid;
    else high = mid;
  }
  return low;
}

/** When a ride was at a station, s: cubic between nodes with the slopes that its speed gives. */
export function timeAtStation(ride: Ride, stationM: number): number {
  const i = nodeBefore(ride, stationM);
  const { path, speedMps, timeS } = ride;
  const [s0, s1] = [ride.stationM[i]!, ride.stationM[i + 1]!];
  const h = s1 - s0;
  const u = (stationM - s0) / h;
  const m0 = (h * path.perStation(s0)) / speedMps[i]!;
  const m1 = (h * path.perStation(s1)) / speedMps[i + 1]!;
  const [t0, t1] = [timeS[i]!, timeS[i + 1]!];
  return t0 * (1 + 2 * u) * (1 - u) ** 2 + m0 * u * (1 - u) ** 2 + t1 * u * u * (3 - 2 * u) + m1 * u * u * (u - 1);
}

/** Exact time lost by one ride against another from one station of the lap to another, s. */
export function lost(robot: Ride, reference: Ride, fromM: number, toM: number): number {
  const spent = (ride: Ride): number => timeAtStation(ride, toM) - timeAtStation(ride, fromM);
  return spent(robot) - spent(reference);
}
