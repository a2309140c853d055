import { blend, blendAll, differ } from './blend.ts';
import type { Cause } from './cause.ts';
import type { Ingredients } from './ingredients.ts';

/** How much of the drive that speed and lean leave is used, on the way to the corner and out of it, shifts aside. */
export const drive: Cause<'drive'> = {
  key: 'drive',
  group: 'exit',
  offShare: 0.02,
  differs: (a, b) => a.heldUse !== b.heldUse || differ(a.approachUse, b.approachUse) || differ(a.exitUse, b.exitUse),
  mix: (a, b, weight, into) => {
    into.approachUse = blendAll(a.approachUse, b.approachUse, weight);
    into.heldUse = blend(a.heldUse, b.heldUse, weight);
    into.exitUse = blendAll(a.exitUse, b.exitUse, weight);
  },
  says: (a, b, { cells, stepM }) => ({ use: meanUse(a, cells, stepM), referenceUse: meanUse(b, cells, stepM) }),
};

/** Mean share of the drive beyond resistance over the approach and the exit. */
function meanUse({ approachUse, exitUse, pickUpM }: Ingredients, cells: number, stepM: number): number {
  let [sum, count] = [0, 0];
  for (const use of approachUse) if (!Number.isNaN(use)) [sum, count] = [sum + use, count + 1];
  const exit = Math.max(0, cells - Math.ceil(pickUpM / stepM));
  for (let j = 0; j < exit; j++) [sum, count] = [sum + exitUse[j]!, count + 1];
  return count > 0 ? sum / count : 0;
}
