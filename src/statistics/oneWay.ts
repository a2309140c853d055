import { mean } from '../numbers/moments.ts';
import { fAbove } from './distributions.ts';

export interface OneWay {
  readonly f: number;
  readonly dfBetween: number;
  readonly dfWithin: number;
  readonly squaresBetween: number;
  readonly squaresWithin: number;
  readonly p: number;
}

/**
 * Whether groups of values (days, runs) differ by more than the scatter within them.
 *
 * @param groups at least two, none empty, one of them with two values at least
 *
 * Method: one-way analysis of variance on values less their grand mean, so that a large common part costs no digits
 * (Fisher, Statistical Methods for Research Workers (1925)).
 */
export function oneWay(groups: readonly (readonly number[])[]): OneWay {
  const all = groups.flat();
  const centre = mean(all);
  const centred = groups.map((group) => group.map((value) => value - centre));
  const means = centred.map((group) => mean(group));
  const rest = mean(centred.flat());
  const squaresBetween = means.reduce((s, m, i) => s + groups[i]!.length * (m - rest) ** 2, 0);
  const squaresWithin = centred.reduce((s, group, i) => s + group.reduce((t, v) => t + (v - means[i]!) ** 2, 0), 0);
  const dfBetween = groups.length - 1;
  const dfWithin = all.length - groups.length;
  const f = squaresBetween / dfBetween / (squaresWithin / dfWithin);
  return { f, dfBetween, dfWithin, squaresBetween, squaresWithin, p: fAbove(f, dfBetween, dfWithin) };
}
