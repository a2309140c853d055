/** Specific gas constants, J/(kg K). Source: ISO 2533:1975 (dry air); IAPWS (water vapour). */
const DRY = 287.05287;
const VAPOUR = 461.526;

/** Air of a session. */
export interface Air {
  readonly densityKgpm3: number;
  /** Mean wind; 0 for none. */
  readonly windMps: number;
  /** Compass direction that the wind comes from, radians clockwise from north. */
  readonly windFromRad: number;
}

/** ISO 2533 sea level, no wind. */
export const STANDARD_AIR: Air = { densityKgpm3: 1.225, windMps: 0, windFromRad: 0 };

/**
 * Density of air.
 *
 * @param humidity relative, 0 to 1; 0 is dry air
 * @returns kg/m³
 *
 * Example: airDensity(101325, 288.15) = 1.2250. Source: ideal gases, ISO 2533:1975; vapour pressure by Magnus's formula in
 * the form of WMO-No. 8 (2018), annex 4.B.
 */
export function airDensity(pressurePa: number, temperatureK: number, humidity = 0): number {
  const celsius = temperatureK - 273.15;
  const vapourPa = humidity * 611.2 * Math.exp((17.62 * celsius) / (243.12 + celsius));
  return (pressurePa - vapourPa) / (DRY * temperatureK) + vapourPa / (VAPOUR * temperatureK);
}

/** One lap on an even grid of stations; index i lies at i * stepM from the gate. */
export interface RiddenLap {
  readonly stepM: number;
  readonly speedMps: Float64Array;
  /** Direction of travel, radians counter-clockwise from east. */
  readonly headingRad: Float64Array;
  /** 1 where the machine pulls with all it has, so that air decides its speed; 0 where the rider does. */
  readonly pulling: Uint8Array;
}

export interface Machine {
  readonly massKg: number;
  /** Drag coefficient times frontal area. */
  readonly dragAreaM2: number;
}

/**
 * Time that the air of the day cost a lap, against the same lap in other air: its part of a gap is this of the robot's lap
 * less this of the reference lap. Only stretches at full pull count; from there on the lap brakes on the curve it braked
 * on, from another speed.
 *
 * @param air of the day
 * @param standard air to compare with: that of the reference's day, or `STANDARD_AIR` for both laps
 * @returns seconds, positive where the day's air made the lap slower; 0 where nothing is pulling
 *
 * Method: energy along the track, d(v²)/ds changed by the difference of the two drags over the mass; wind along the track
 * only, the same at every place.
 */
export const airCost = (lap: RiddenLap, machine: Machine, air: Air, standard: Air = STANDARD_AIR): number =>
  airCosts(lap, machine, air, standard).reduce((sum, cost) => sum + cost, 0);

/**
 * The same place by place, so that it can be summed over a corner.
 *
 * @returns as long as the grid; index i holds what was lost from there to the next station, s
 */
export function airCosts(lap: RiddenLap, machine: Machine, air: Air, standard: Air = STANDARD_AIR): Float64Array {
  const { speedMps, pulling, stepM } = lap;
  const n = speedMps.length;
  const cost = new Float64Array(n);
  for (let i = 0; i + 1 < n; i++) {
    if (pulling[i] !== 1 || (i > 0 && pulling[i - 1] === 1)) continue;
    let end = i;
    while (end < n && pulling[end] === 1) end++;
    const other = rewritten(lap, machine, air, standard, i, end);
    for (let k = 0; k + 1 < other.length; k++)
      cost[i + k]! +=
        (2 * stepM) / (speedMps[i + k]! + speedMps[i + k + 1]!) - (2 * stepM) / (other[k]! + other[k + 1]!);
    i = end;
  }
  return cost;
}

/** Speeds in the other air from the start of a pull until the lap's own braking is met again. */
function rewritten(lap: RiddenLap, machine: Machine, air: Air, standard: Air, from: number, end: number): number[] {
  const { speedMps, headingRad, stepM } = lap;
  const n = speedMps.length;
  const gain = (i: number): number => (speedMps[i + 1]! ** 2 - speedMps[i]! ** 2) / (2 * stepM);
  const drag = (v: number, i: number, { densityKgpm3, windMps, windFromRad }: Air): number => {
    const against = v + windMps * Math.cos(Math.PI / 2 - windFromRad - headingRad[i]!);
    return (0.5 * densityKgpm3 * machine.dragAreaM2 * against * Math.abs(against)) / machine.massKg;
  };
  // The braking after the pull, carried backwards, is where a faster lap would have to brake.
  const brakes = end + 1 < n && speedMps[end + 1]! < speedMps[end]!;
  const deceleration = brakes ? Math.max(-gain(end), 0.1) : 0;
  const braking = (i: number): number => {
    if (!brakes) return Number.POSITIVE_INFINITY;
    return i >= end ? speedMps[i]! : Math.sqrt(speedMps[end]! ** 2 + 2 * deceleration * (end - i) * stepM);
  };
  const out = [speedMps[from]!];
  let square = speedMps[from]! ** 2;
  for (let i = from; i + 1 < n; i++) {
    // Past the end of the pull the last of it goes on, until the braking is met.
    const pull = gain(Math.min(i, Math.max(end - 2, from)));
    const v = Math.sqrt(square);
    square = Math.max(1, square + 2 * stepM * (pull + drag(speedMps[i]!, i, air) - drag(v, i, standard)));
    const free = Math.sqrt(square);
    const limit = braking(i + 1);
    out.push(Math.min(free, limit));
    if (i + 1 >= end && (!brakes || free >= limit)) break;
    square = Math.min(free, limit) ** 2;
  }
  return out;
}
