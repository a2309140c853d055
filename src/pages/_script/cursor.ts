/** A lap as the cursor goes along it. */
export interface Track {
  readonly lengthM: number;
  /** From where on a place has this name, in station order. */
  readonly places: readonly (readonly [fromM: number, words: string])[];
  /** A station in each corner, in station order. */
  readonly corners: readonly (readonly [name: string, stationM: number])[];
}

/** Circuits shorter than this are models, and are gone along by the decimetre. */
export const MODEL_M = 300;

/** Digits that follow each other this quickly name one corner, ms. */
const TYPING_MS = 900;

/** The station that all figures of a lap show, and how it is moved. */
export class Cursor {
  readonly track: Track;
  /** Distance of one step, metres. */
  readonly stepM: number;
  readonly #followers: (() => void)[] = [];
  #stationM: number | null = null;
  #held = false;
  #typed = '';
  #typedAt = Number.NEGATIVE_INFINITY;

  constructor(track: Track) {
    this.track = track;
    this.stepM = track.lengthM < MODEL_M ? 0.1 : 1;
  }

  get stationM(): number | null {
    return this.#stationM;
  }

  /** While held, the cursor stays when a mouse passes over a figure. */
  get held(): boolean {
    return this.#held;
  }

  /** `act` runs at every change from now on. */
  follow(act: () => void): void {
    this.#followers.push(act);
  }

  /** Moves to a station, to whole steps and within the lap; null takes the cursor away. */
  move(stationM: number | null, held = this.#held): void {
    const inside = stationM === null ? null : Math.min(Math.max(stationM, 0), this.track.lengthM);
    const next = inside === null ? null : Number((Math.round(inside / this.stepM) * this.stepM).toFixed(1));
    const holds = next !== null && held;
    if (next === this.#stationM && holds === this.#held) return;
    this.#stationM = next;
    this.#held = holds;
    this.refresh();
  }

  /** Lets all that follow the cursor look again: what is read at it has changed. */
  refresh(): void {
    for (const act of this.#followers) act();
  }

  /**
   * Does what a key stands for.
   *
   * @returns whether it stands for anything
   */
  key(key: string, shift: boolean, nowMs: number): boolean {
    const at = this.#stationM;
    const step = this.stepM * (shift ? 10 : 1);
    if (key === 'ArrowRight' || key === 'ArrowUp') this.move(at === null ? 0 : at + step);
    else if (key === 'ArrowLeft' || key === 'ArrowDown') this.move(at === null ? this.track.lengthM : at - step);
    else if (key === 'Home') this.move(0);
    else if (key === 'End') this.move(this.track.lengthM);
    else if (key === '.' || key === ',') this.#turn(key === '.');
    else if (key === 'Escape' && at !== null) this.move(null);
    else if (/^\d$/.test(key)) this.#type(key, nowMs);
    else return false;
    return true;
  }

  /** To the next corner or the one before. */
  #turn(forward: boolean): void {
    const { corners } = this.track;
    const at = this.#stationM ?? (forward ? -1 : Number.POSITIVE_INFINITY);
    const reach = this.stepM / 2;
    const found = forward ? corners.find(([, s]) => s > at + reach) : corners.findLast(([, s]) => s < at - reach);
    if (found) this.move(found[1]);
  }

  /** To the corner that the digits typed so far name. */
  #type(digit: string, nowMs: number): void {
    const typed = nowMs - this.#typedAt < TYPING_MS ? this.#typed + digit : digit;
    const found =
      this.track.corners.find(([name]) => name === typed) ?? this.track.corners.find(([name]) => name === digit);
    this.#typed = found ? found[0] : digit;
    this.#typedAt = nowMs;
    if (found) this.move(found[1]);
  }
}

/** The name of the place at a station; empty where places have none. */
export const placeAt = (track: Track, stationM: number): string =>
  track.places.findLast(([fromM]) => fromM <= stationM)?.[1] ?? '';
