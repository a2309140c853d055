/**
 * What a machine and rider have shown they can do, accelerations along the path in m/s². Not a physical limit: the
 * frontier of what was ridden, by speed and lean.
 */
export interface Envelope {
  /** Drive upright, at low speed: tyre or lifting front wheel. */
  readonly tractionMps2: number;
  /** Drive at speed v is at most this over v, W/kg. */
  readonly powerWpkg: number;
  /** Deceleration upright. */
  readonly brakingMps2: number;
  readonly lateralMps2: number;
  /** Exponent p of (|a_x| / limit)^p + (|a_y| / limit)^p = 1. */
  readonly exponent: number;
  /** Share of the upright drive that is left at the lateral limit. */
  readonly floorShare: number;
  /** Drag at v is v² times this. */
  readonly dragPerM: number;
  /** Rolling resistance. */
  readonly rollingMps2: number;
}

/** What two machines have in common, and how one differs: drive and drag per mass relative to the other's. */
export interface MachineShare {
  /** Power per mass relative to the envelope's. */
  readonly powerScale: number;
  readonly dragPerM: number;
}

const LEAN_ENTRIES = 256;
const limits = new WeakMap<Envelope, DriveLimit>();

/** The drive that an envelope leaves, made ready for many questions. */
export class DriveLimit {
  readonly #traction: Float64Array;
  readonly #power: number;
  readonly #toEntry: number;

  /** The one of an envelope. */
  static of(envelope: Envelope): DriveLimit {
    let limit = limits.get(envelope);
    if (!limit) limits.set(envelope, (limit = new DriveLimit(envelope)));
    return limit;
  }

  private constructor({ tractionMps2, powerWpkg, lateralMps2, exponent, floorShare }: Envelope) {
    this.#traction = Float64Array.from({ length: LEAN_ENTRIES + 2 }, (_, i) => {
      const share = Math.min(1, i / LEAN_ENTRIES);
      return tractionMps2 * Math.max(floorShare, (1 - share ** exponent) ** (1 / exponent));
    });
    this.#power = powerWpkg;
    this.#toEntry = (2 * LEAN_ENTRIES) / lateralMps2;
  }

  /** Drive available at an energy v² / 2 on a path of a curvature (its size, 1/m), m/s². */
  at(powerScale: number, energy: number, bend: number): number {
    const x = energy * bend * this.#toEntry;
    let traction: number;
    if (x >= LEAN_ENTRIES) traction = this.#traction[LEAN_ENTRIES]!;
    else {
      const k = Math.trunc(x);
      const low = this.#traction[k]!;
      traction = low + (x - k) * (this.#traction[k + 1]! - low);
    }
    return Math.min(traction, (this.#power * powerScale) / Math.sqrt(2 * energy));
  }
}

/** Of the drive at most this share counts as holding the speed. */
const MOST_HELD = 0.7;

/**
 * The part of the drive that only holds the speed, from which use is counted: use 0 holds it, use 1 is all of the
 * drive. What holds a speed depends on no lean. Near the highest speed, where nothing is left, a share of the drive.
 */
export function heldMps2(availableMps2: number, resistance: number): number {
  return Math.min(resistance, MOST_HELD * availableMps2);
}

/** Resistance at an energy, m/s². */
export function resistanceMps2(e: Envelope, dragPerM: number, energy: number): number {
  return e.rollingMps2 + 2 * dragPerM * energy;
}
