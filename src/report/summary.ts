/** Middle and ends of a few numbers. */
export interface Summary {
  readonly n: number;
  readonly median: number;
  readonly low: number;
  readonly high: number;
}

/** Median (mean of the two middle values for an even count), least and greatest; null for no numbers. */
export function summary(values: readonly number[]): Summary | null {
  if (values.length === 0) return null;
  const sorted = [...values].sort((a, b) => a - b);
  const half = sorted.length >> 1;
  const median = sorted.length % 2 ? sorted[half]! : (sorted[half - 1]! + sorted[half]!) / 2;
  return { n: sorted.length, median, low: sorted[0]!, high: sorted.at(-1)! };
}
