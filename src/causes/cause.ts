import type { Ingredients, WindowPlan } from './ingredients.ts';

export const GROUPS = ['line', 'entry', 'apex', 'exit', 'carry', 'machine', 'residual'] as const;
export type GroupKey = (typeof GROUPS)[number];

/** A finding about two laps in a corner as data, by name with the unit in it; the report makes the sentence. */
export type Fact = Readonly<Record<string, number>>;

/** One thing that may differ between two laps in a corner. */
export interface Cause<Key extends string = string> {
  readonly key: Key;
  readonly group: GroupKey;
  /**
   * What its contribution may be off by because a description is not the world: a share of it, one standard deviation.
   * From made laps whose causes are known (`npm run bench -- causes`).
   */
  readonly offShare: number;
  /** Whether the laps differ in it at all; what does not differ has a share of exactly 0. */
  differs(a: Ingredients, b: Ingredients): boolean;
  /** Writes this cause's own fields: those of `a` at weight 1, of `b` at 0, a blend between. */
  mix(a: Ingredients, b: Ingredients, weight: number, into: Ingredients): void;
  /** What can be said of it in numbers; null where there is nothing to say. */
  says(a: Ingredients, b: Ingredients, plan: WindowPlan): Fact | null;
}
