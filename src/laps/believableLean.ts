/** No motorcycle leans farther on its tyres; racing reaches 55 to 63° (common practice, no source), rad. */
export const MOST_LEAN_RAD = (70 * Math.PI) / 180;
/** So many rows may exceed it: a fall, a single wild sample. */
const WILD_SHARE = 0.01;

/**
 * Whether a roll channel can be the lean of a machine. A wrong unit or another quantity in its column shows as leans
 * that no tyre holds.
 *
 * @param rollRad (n,) NaN where missing
 * @returns the largest lean where more than one row in a hundred is beyond belief, else null
 */
export function impossibleLean(rollRad: Float64Array): number | null {
  let beyond = 0;
  let known = 0;
  let most = 0;
  for (let i = 0; i < rollRad.length; i++) {
    const lean = Math.abs(rollRad[i]!);
    if (Number.isNaN(lean)) continue;
    known++;
    if (lean > MOST_LEAN_RAD) beyond++;
    if (lean > most) most = lean;
  }
  return beyond > WILD_SHARE * known ? most : null;
}
