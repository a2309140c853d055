/**
 * Position of the antenna relative to the ground point, turned by lean and pitch into the level frame of travel.
 * The machine leans about the line through its contact points, so an antenna 1 m up sits 0.82 m to the side at 55°.
 *
 * @param arm metres forward, left, up of the ground point below the mass centre, machine upright
 * @param rollRad positive leaning right (ISO 8855)
 * @param pitchRad positive nose down
 * @returns metres forward and left
 */
export function leverArm(arm: readonly [number, number, number], rollRad: number, pitchRad: number): [number, number] {
  const [forward, left, up] = arm;
  const leanedUp = left * Math.sin(rollRad) + up * Math.cos(rollRad);
  const leanedLeft = left * Math.cos(rollRad) - up * Math.sin(rollRad);
  return [forward * Math.cos(pitchRad) + leanedUp * Math.sin(pitchRad), leanedLeft];
}

/**
 * Specific force measured in the leaning frame of the machine, turned into the level frame of travel, in place.
 * A sensor fixed to a machine in a steady corner reads no lateral force at all; levelled, it reads v² times curvature.
 *
 * @param long (n,) forward, m/s²
 * @param lat (n,) left, m/s²
 * @param vert (n,) up, m/s²; at rest +g
 * @param rollRad (n,) positive leaning right
 * @param pitchRad (n,) positive nose down, or null where it was not measured
 */
export function levelForces(
  long: Float64Array,
  lat: Float64Array,
  vert: Float64Array,
  rollRad: Float64Array,
  pitchRad: Float64Array | null,
): void {
  for (let i = 0; i < lat.length; i++) {
    const roll = rollRad[i]!;
    const pitch = pitchRad?.[i] ?? 0;
    const up = lat[i]! * Math.sin(roll) + vert[i]! * Math.cos(roll);
    lat[i] = lat[i]! * Math.cos(roll) - vert[i]! * Math.sin(roll);
    vert[i] = up * Math.cos(pitch) - long[i]! * Math.sin(pitch);
    long[i] = long[i]! * Math.cos(pitch) + up * Math.sin(pitch);
  }
}

/** Beyond this lean the yaw rate of a body-fixed sensor says too little about the level one, rad. */
const STEEP_RAD = (80 * Math.PI) / 180;

/** Yaw rate of a body-fixed sensor, which reads cos(lean) of the level one in a steady corner, levelled in place. */
export function levelYawRate(yawRate: Float64Array, rollRad: Float64Array): void {
  for (let i = 0; i < yawRate.length; i++) {
    const roll = rollRad[i]!;
    yawRate[i] = Math.abs(roll) < STEEP_RAD ? yawRate[i]! / Math.cos(roll) : Number.NaN;
  }
}
