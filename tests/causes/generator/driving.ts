import { type Controls, dragMps2, type Machine, mostDrive, rise, THROTTLE_OPENING_S } from './rider.ts';

/** Something that happens within a step of a drive. */
export interface Moment {
  readonly kind: 'shift' | 'shifted' | 'open';
  /** Share of the step after which it happens, roughly, and how far a state is past it. */
  readonly share: number;
  readonly error: (at: { readonly v: number; readonly t: number }) => number;
}

/** A rider on the throttle, from one pick-up to the next corner. */
export class Driving {
  readonly #own: Controls;
  readonly #machine: Machine;
  readonly #openedS: number;
  readonly #holdMps2: number;
  gear: number;
  /** A change of state falls on the end of a step, so that every stage of a step sees the same state. */
  #cutToS: number | null = null;

  /** @param holdMps2 acceleration with which the corner was ridden at pick-up */
  constructor(own: Controls, machine: Machine, openedS: number, gear: number, holdMps2: number) {
    this.#own = own;
    this.#machine = machine;
    this.#openedS = openedS;
    this.#holdMps2 = holdMps2;
    this.gear = gear;
  }

  /** @param climb what the slope of the road takes, m/s² */
  forceMps2(v: number, across: number, t: number, climb: number): number {
    return this.#cutToS === null ? this.#wantedMps2(v, across, t, climb) : 0;
  }

  #wantedMps2(v: number, across: number, t: number, climb: number): number {
    const full = this.#own.drive * mostDrive(this.#machine, v, across);
    const w = rise((t - this.#openedS) / THROTTLE_OPENING_S);
    return w >= 1 ? full : w * full + (1 - w) * (this.#holdMps2 + dragMps2(this.#machine, v) + climb);
  }

  /** Opening of the throttle, 0 to 1; while the ignition is cut the hand stays where it would be. */
  throttle(v: number, across: number, t: number, climb: number): number {
    const force = this.#wantedMps2(v, across, t, climb);
    return Math.min(1, Math.max(0, (force * v) / this.#machine.powerWpkg));
  }

  momentIn(from: { v: number; t: number }, to: { v: number; t: number }): Moment | null {
    let soonest: Moment | null = null;
    const meet = (kind: Moment['kind'], error: Moment['error']): void => {
      const [a, b] = [error(from), error(to)];
      const share = a / (a - b);
      if (a < -1e-12 && b >= 0 && (soonest === null || share < soonest.share)) soonest = { kind, share, error };
    };
    const cutToS = this.#cutToS;
    if (cutToS !== null) meet('shifted', ({ t }) => t - cutToS);
    else {
      const limit = this.#machine.upshiftsMps[this.gear - 1];
      if (limit !== undefined) {
        const at = limit * this.#own.shiftAt;
        if (from.v >= at) return { kind: 'shift', share: 0, error: () => 0 };
        meet('shift', ({ v }) => v - at);
      }
    }
    meet('open', ({ t }) => t - this.#openedS - THROTTLE_OPENING_S);
    return soonest;
  }

  happened(kind: Moment['kind'], t: number): void {
    if (kind === 'shift') {
      this.gear++;
      this.#cutToS = t + this.#own.shiftS;
    } else if (kind === 'shifted') this.#cutToS = null;
  }
}
