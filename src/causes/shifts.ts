import { differ } from './blend.ts';
import type { Cause } from './cause.ts';
import type { Ingredients, Shift } from './ingredients.ts';

/** What gear changes under drive cost: how often, when, how long the drive is away. */
export const shifts: Cause<'shifts'> = {
  key: 'shifts',
  group: 'exit',
  offShare: 0.02,
  differs: (a, b) => others(a.approachShifts, b.approachShifts) || others(a.exitShifts, b.exitShifts),
  mix: (a, b, weight, into) => {
    into.approachShifts = both(a.approachShifts, b.approachShifts, weight);
    into.exitShifts = both(a.exitShifts, b.exitShifts, weight);
  },
  says: (a, b) =>
    a.approachShifts.length + a.exitShifts.length + b.approachShifts.length + b.exitShifts.length === 0
      ? null
      : {
          shifts: a.approachShifts.length + a.exitShifts.length,
          referenceShifts: b.approachShifts.length + b.exitShifts.length,
          lostMps: lost(a),
          referenceLostMps: lost(b),
        },
};

function others(a: readonly Shift[], b: readonly Shift[]): boolean {
  return (
    a.length !== b.length ||
    a.some((s, i) => s.triggerEnergy !== b[i]!.triggerEnergy || differ(s.missingShare, b[i]!.missingShare))
  );
}

function both(a: readonly Shift[], b: readonly Shift[], weight: number): readonly Shift[] {
  if (weight === 1) return a;
  if (weight === 0) return b;
  return [...a.map((s) => ({ ...s, share: weight })), ...b.map((s) => ({ ...s, share: 1 - weight }))];
}

/** Speed lost in all gear changes, m/s. */
function lost({ approachShifts, exitShifts }: Ingredients): number {
  return [...approachShifts, ...exitShifts].reduce(
    (sum, { triggerEnergy, lost }) => sum + lost / Math.sqrt(2 * triggerEnergy),
    0,
  );
}
