import { ledgerDigits } from '../../report/ledgerTable.ts';
import { rounded } from '../../report/rounded.ts';
import {
  digitsFor,
  gapWords,
  lapTime,
  metres,
  number,
  seconds,
  sentence,
  signed,
  speedText,
  Z_90,
} from '../../report/words.ts';
import type { Difference, WindowDifference } from './difference.ts';

/** How far one lap is from the other, and where the most of it is lost and gained. */
export function answer(of: Difference): string {
  const { first, second, totalS, totalSigmaS } = of;
  const gap = gapWords(totalS, totalSigmaS);
  const [a, b] = [`${sentence(first.name)} (${lapTime(first.timeS)})`, `${second.name} (${lapTime(second.timeS)})`];
  const total = gap.startsWith('level')
    ? `${a} and ${b} are ${gap}.`
    : `${a} is ${gap} ${totalS < 0 ? 'of ' : ''}${b}${Math.abs(totalS) < Z_90 * totalSigmaS ? ', which is not distinguishable from noise' : ''}.`;
  const digits = windowDigits(of);
  const lost = largest(of, 1, digits);
  const gained = largest(of, -1, digits);
  const parts = [
    lost && `loses ${seconds(lost.sumS, null, digits)}, ${lost.where}`,
    gained && `gains ${seconds(gained.sumS, null, digits)}, ${gained.where}`,
  ].filter(Boolean);
  return parts.length > 0 ? `${total} It ${parts.join(', and ')}.` : total;
}

function largest({ windows }: Difference, sign: 1 | -1, digits: number): { sumS: number; where: string } | null {
  const some = windows.filter((w) => w.gapS !== null && Number((sign * w.gapS).toFixed(digits)) > 0);
  const most = some.reduce<WindowDifference | null>((a, b) => (a && sign * a.gapS! >= sign * b.gapS! ? a : b), null);
  if (!most) return null;
  const sumS = some.reduce((sum, w) => sum + sign * w.gapS!, 0);
  return {
    sumS,
    where: some.length === 1 ? most.where : `the most ${most.where} (${seconds(sign * most.gapS!, null, digits)})`,
  };
}

/** Digits of the windows’ seconds: by the middle one of their uncertainties. */
const windowDigits = ({ windows }: Difference): number => ledgerDigits(windows.filter((w) => w.gapS !== null));

/** What the curve of the gap shows beside its end. */
export function gapCaption({ first, stationM, gapS, totalS, totalSigmaS }: Difference): string {
  const digits = digitsFor(totalSigmaS);
  let most = -1;
  gapS.forEach((gap, i) => {
    if (!Number.isNaN(gap) && (most < 0 || Math.abs(gap) > Math.abs(gapS[most]!))) most = i;
  });
  const end = `${sentence(gapWords(totalS, totalSigmaS))} at the gate`;
  if (most < 0) return `${end}.`;
  if (Math.abs(Math.abs(gapS[most]!) - Math.abs(totalS)) < Z_90 * totalSigmaS)
    return `${end}, the most of the whole lap.`;
  return `${end}; ${first.name} is furthest ${gapS[most]! < 0 ? 'ahead' : 'behind'} at ${metres(stationM[most])}, by ${seconds(Math.abs(gapS[most]!), null, digits)}.`;
}

/** Where the speeds are furthest apart, either way. */
export function speedCaption({ first, stationM, speedMps, otherMps }: Difference): string {
  const apart = speedMps.map((v, i) => v - otherMps[i]!);
  let [low, high] = [-1, -1];
  apart.forEach((d, i) => {
    if (d < 0 && (low < 0 || d < apart[low]!)) low = i;
    if (d > 0 && (high < 0 || d > apart[high]!)) high = i;
  });
  const words = [
    low < 0 ? '' : `${speedText(-apart[low]!, 0)} slower at ${metres(stationM[low])}`,
    high < 0 ? '' : `${speedText(apart[high]!, 0)} faster at ${metres(stationM[high])}`,
  ].filter(Boolean);
  return words.length > 0 ? `${sentence(first.name)} is at most ${words.join(', ')}.` : 'The speeds are the same.';
}

/** A row of the table of windows, as it is written. */
export interface WindowRow {
  readonly title: string;
  readonly gap: string;
  readonly doubt: string;
  readonly tone: 'loss' | 'gain' | 'noise' | '';
  readonly slowest: string;
  readonly otherSlowest: string;
}

/** The windows in rows that add up to the total, which is the last; what is within its doubt is marked. */
export function windowRows(of: Difference): { rows: WindowRow[]; total: WindowRow; whole: boolean } {
  const digits = windowDigits(of);
  const known = of.windows.filter((w) => w.gapS !== null);
  const plainS = known.reduce((sum, w) => sum + w.gapS!, 0);
  // What lies in no window is a hole in the data, which rounding may not cover.
  const whole = known.length === of.windows.length && Math.abs(plainS - of.totalS) < 2e-3;
  const shown = rounded(
    known.map((w) => w.gapS!),
    digits,
    whole ? of.totalS : plainS,
  );
  const speed = (v: number): string => speedText(v).replace(/\u202fkm\/h$/, '');
  return {
    whole,
    rows: of.windows.map((w) => {
      const value = shown[known.indexOf(w)];
      return {
        title: w.title,
        gap: signed(value, digits),
        doubt: w.sigmaS > 0 ? number(Math.max(10 ** -digits, Z_90 * w.sigmaS), digits) : '',
        tone: toneOf(value, Z_90 * w.sigmaS, digits),
        slowest: speed(w.slowestMps),
        otherSlowest: speed(w.otherSlowestMps),
      };
    }),
    total: {
      title: 'lap',
      gap: signed(of.totalS, digits),
      doubt: of.totalSigmaS > 0 ? number(Math.max(10 ** -digits, Z_90 * of.totalSigmaS), digits) : '',
      tone: toneOf(of.totalS, Z_90 * of.totalSigmaS, digits),
      slowest: '',
      otherSlowest: '',
    },
  };
}

function toneOf(value: number | undefined, doubtS: number, digits: number): WindowRow['tone'] {
  if (value === undefined) return '';
  if (Math.abs(value) < doubtS) return 'noise';
  if (Number(Math.abs(value).toFixed(digits)) === 0) return '';
  return value > 0 ? 'loss' : 'gain';
}
