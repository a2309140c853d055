import type { Results } from '../readResults.ts';
import type { Given } from './given.ts';
import type { Place } from './place.ts';

/** A key that may stand between braces, for the reference of directives. */
export interface Key {
  readonly name: string;
  readonly means: string;
}

/** How numbers of a kind are written. */
export interface Scale {
  /** UCUM unit of the value inside; `1` for a bare number. */
  readonly inside: string;
  /** UCUM unit that it is shown in. */
  readonly shown: string;
  /** Digits after the point in that unit, where the uncertainty is not known. */
  readonly digits: number;
  /** Shown as m:ss.s. */
  readonly lapTime?: boolean;
}

/** Files and their hashes. */
export type Stands = Readonly<Record<string, string>>;

/** A quantity as the data give it now. */
export interface Reading {
  /** In the scale's inside unit, or words; null where the data do not hold it. */
  readonly value: number | string | null;
  /** Why there is no value; empty where there is one. */
  readonly why: string;
  /** Of a number. */
  readonly scale: Scale;
  /** One standard deviation, in the inside unit, where it is known. */
  readonly sigma: number | null;
  /** Least and greatest of the laps that it was taken over; null for a single one. */
  readonly range: { readonly low: number; readonly high: number; readonly laps: number } | null;
  /** Period of a value that goes round, such as a station on the lap. */
  readonly period?: number;
  /** What it was computed from. */
  readonly stands: Stands;
}

/** What a quantity is asked with. */
export interface Ask {
  readonly results: Results;
  readonly of: Place;
  readonly given: Given;
}

/**
 * Something that a note can quote or claim. A new one is one such object and its line in list.ts; cause, trend or
 * forecast are no different from a gap.
 */
export interface Quantity {
  /** The word that stands first between the braces. */
  readonly name: string;
  readonly means: string;
  /** Keys besides `of`, `against`, `take` and `unit`. */
  readonly keys: readonly Key[];
  /** The other keys for the example in the reference, given the name of a corner. */
  example(corner: string): string;
  /** @throws Mistake where it names something that is not there */
  read(ask: Ask): Reading;
}
