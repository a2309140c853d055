/** An interval in the unit of the values it is about. */
export interface Interval {
  readonly low: number;
  readonly high: number;
  /** Share of repetitions in which such an interval holds the true value, 0 to 1: what was reached, not what was asked. */
  readonly level: number;
}
