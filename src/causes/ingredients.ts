/** A gear change under drive: from where its trigger speed is reached, this share of the drive is missing, step by step. */
export interface Shift {
  /** v² / 2 at which it begins, m²/s². */
  readonly triggerEnergy: number;
  /** (k,) of the drive force, in each step from there on. */
  readonly missingShare: Float64Array;
  /** v² / 2 that was lost in it, m²/s². */
  readonly lost: number;
  /** 1; less only while two laps are blended. */
  readonly share: number;
}

/**
 * What a stretch of a lap is made of. A whole lap's ingredients put together give the lap again, those of two laps in
 * any mixture give a lap that somebody could have ridden. Each cause mixes its own fields and no other.
 */
export interface Ingredients {
  /** carry: v² / 2 at the start, m²/s². */
  energy0: number;
  /** line: (n,) path per station; (n,) size of the curvature; its mean over the tight part of the corner, 1/m. */
  pathPerStation: Float64Array;
  bend: Float64Array;
  meanBend: number;
  /** onset: distance from the start to where even braking would reach the corner's speed, m; how the speed falls before. */
  releaseM: number;
  /** (k,) energy above that at the corner, over deceleration times distance to it: a straight line for even braking. */
  modulation: Float64Array;
  /** intensity: deceleration that the distance is counted with, m/s². */
  decelerationMps2: number;
  /**
   * grip: lateral acceleration at the slowest place, and (k,) energy through the corner beyond that there, m²/s². (rolled:
   * energy beyond that at the corner's beginning, as a share of it.)
   */
  lateralMps2: number;
  mid: Float64Array;
  /** pick-up: distance from the start to where drive begins, m. */
  pickUpM: number;
  /** drive: (n,) use of what is available on the way to the corner, what of it holds on, and (n,) use from pick-up on. */
  approachUse: Float64Array;
  heldUse: number;
  exitUse: Float64Array;
  /** shifts, on the way to the corner and out of it. */
  approachShifts: readonly Shift[];
  exitShifts: readonly Shift[];
  /** machine parity. */
  powerScale: number;
  dragPerM: number;
  /** residual: (n,) measured over recomposed energy, less one. */
  residual: Float64Array;
}

/** How a corner's stretch is looked at, the same for both laps and for every mixture of them. */
export interface WindowPlan {
  /**
   * braked: approach, braking, corner, drive. cornered: only one of the laps brakes; approach, the speed that the corner
   * was ridden at, drive. rolled: none brakes; approach, corner as a change of the speed that came in, drive. driven:
   * nothing but drive.
   */
  readonly mode: 'braked' | 'cornered' | 'rolled' | 'driven';
  readonly cells: number;
  readonly stepM: number;
  /** Energy beyond that at the (first) tight place at which braking ends and the corner begins, m²/s². */
  readonly above: number;
  /** Deceleration times distance between two entries of `modulation`, m²/s². */
  readonly modulationStep: number;
  /** Places in the corner, between its beginning and pick-up, that stay where they are, m from the start. */
  readonly anchorsM: readonly number[];
  /** braked: behind the beginning of the corner so much keeps its metres. */
  readonly settleM: number;
  /** cornered, rolled: where the corner begins, m from the start. */
  readonly rollM: number;
}
