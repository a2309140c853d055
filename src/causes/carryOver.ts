/** What is needed of a stretch to charge the next one's arrival speed to who made it. */
export interface Link {
  /** (causes,) s, of its own gap. */
  readonly shareS: Float64Array;
  /** (causes,) of the difference of energies at its end. */
  readonly shareOfEnd: Float64Array;
  /** Seconds that a unit of energy more at its start costs (negative); 0 where nobody can tell. */
  readonly perEnergyS: number;
}

/**
 * Charges speed that is brought along to the causes that made it. The carry of a stretch is paid back, in seconds a
 * unit of energy, to the causes of the stretch before in proportion to what each did to the speed at its end; what that
 * stretch brought along itself goes on to the one before it. What the lap brought from before the gate stays carry. The
 * sum over all stretches and causes does not change.
 *
 * @param links in the order of the lap
 * @param carry index of the cause
 * @returns for each stretch (causes,) s
 */
export function carryOver(links: readonly Link[], carry: number): Float64Array[] {
  const made = links.map(({ shareS }) => shareS.slice());
  for (let k = links.length - 1; k > 0; k--) {
    const arriving = links[k - 1]!.shareOfEnd;
    const energy = arriving.reduce((sum, e) => sum + e, 0);
    const owed = made[k]![carry]!;
    if (energy === 0) continue;
    const parts = arriving.reduce((most, e) => Math.max(most, Math.abs(e)), 0);
    const rate = rateOf(owed / energy, links[k]!.perEnergyS, Math.abs(energy) > NET_SHARE * parts);
    arriving.forEach((share, cause) => {
      made[k - 1]![cause]! += rate * share;
    });
    made[k]![carry] = owed - rate * energy;
  }
  return made;
}

/** Above this share of its largest part the net of what arrives is no small difference of large parts. */
const NET_SHARE = 0.5;

/**
 * Seconds a unit of energy: what was paid over what arrived where that is believable beside the slope, which a stretch
 * that forgets its arrival may fall short of. Where it is not, the slope, if what arrived is only what large parts leave
 * of each other; else no more than is believable, and the rest stays carry.
 */
function rateOf(chord: number, slope: number, net: boolean): number {
  if (slope === 0) return 0;
  const share = chord / slope;
  if (share > 0 && share < 2) return chord;
  return net ? slope * Math.min(2, Math.max(0, share)) : slope;
}
