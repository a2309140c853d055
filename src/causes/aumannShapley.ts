import type { Described } from './describe.ts';
import type { Envelope } from './envelope.ts';
import type { Ingredients } from './ingredients.ts';
import { CAUSES } from './list.ts';
import { recompose, timeOf } from './recompose.ts';

/** Nodes and weights of Gauss's rule of three on [0, 1]. */
const NODES = [0.5 - Math.sqrt(0.15), 0.5, 0.5 + Math.sqrt(0.15)] as const;
const WEIGHTS = [5 / 18, 8 / 18, 5 / 18] as const;
const STEP = 0.02;

/**
 * A second opinion by another rule: all causes move together from the reference to the lap, and each is charged with
 * what its own move costs along the way, φ = ∫₀¹ ∂T/∂λ dt (Aumann & Shapley 1974). Where time is quadratic in the
 * blend both rules agree; where it is far from that, neither is much of an answer.
 *
 * @returns (causes,) s; the sum is the gap only as well as the rule of three integrates
 */
export function aumannShapley({ a, b, plan, floor }: Described, envelope: Envelope): Float64Array {
  const out = new Float64Array(plan.cells);
  const into: Ingredients = { ...b };
  const active = CAUSES.map((cause) => cause.differs(a, b));
  const timeAt = (t: number, cause: number, by: number): number => {
    for (let i = 0; i < CAUSES.length; i++) CAUSES[i]!.mix(a, b, active[i] ? t + (i === cause ? by : 0) : 0, into);
    recompose(plan, into, envelope, out);
    return timeOf(into, out, plan.stepM, floor);
  };
  return Float64Array.from(CAUSES, (_, cause) => {
    if (!active[cause]) return 0;
    return NODES.reduce(
      (sum, t, k) => sum + (WEIGHTS[k]! * (timeAt(t, cause, STEP) - timeAt(t, cause, -STEP))) / (2 * STEP),
      0,
    );
  });
}
