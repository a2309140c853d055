import { isoDate, MISSING, number, percent, plural, seconds, sentence } from '../words.ts';
import type { Verdict } from './verdict.ts';

/** Digits of a level: laps differ by hundredths. */
export const DIGITS = 2;

/** A target as it was written: `12 s`, `0.5 s`. */
export const limitWords = (limitS: number | null): string =>
  limitS === null ? MISSING : `${number(limitS, 3).replace(/\.?0+$/, '')}\u202fs`;

/** A chance that is never shown as certain. */
export function chanceWords(chance: number): string {
  if (chance > 0.999) return 'over 99.9\u202f%';
  if (chance < 0.001) return 'under 0.1\u202f%';
  return percent(chance, chance > 0.99 || chance < 0.01 ? 1 : 0);
}

/** `10.40 s (10.20 to 10.59)`. */
export function levelWords({ level, interval }: Verdict): string {
  if (!level || !interval) return MISSING;
  return `${seconds(level.value, null, DIGITS)} (${number(interval.low, DIGITS)} to ${number(interval.high, DIGITS)})`;
}

/** The verdict as a heading. */
export function verdictHeadline({ conformity, level, limitS, milestone }: Verdict): string {
  if (!conformity || !level) return `${milestone.title}: no verdict`;
  const gap =
    level.value < 0 ? `${seconds(-level.value, null, DIGITS)} ahead` : `${seconds(level.value, null, DIGITS)} behind`;
  const open =
    conformity.verdict === 'missed' && milestone.target.due !== null && milestone.target.due > milestone.date;
  return `${verdictWord(conformity.verdict)}${open ? ' yet' : ''}: ${gap}, ${limitWords(limitS)} allowed`;
}

/** The verdict in a word or two. */
export const verdictWord = (verdict: NonNullable<Verdict['conformity']>['verdict']): string =>
  sentence(verdict.replace('missed', 'not met'));

/** How many days and laps, and when. */
export function evidenceWords({ laps, level }: Verdict): string {
  const days = [...new Set(laps.map(({ session }) => isoDate(session.date)))];
  const some = plural(laps.length, 'lap');
  return level && level.days > 1
    ? `Mean of the medians of ${plural(days.length, 'day')}, ${days[0]} to ${days.at(-1)}, ${some}`
    : `Median of ${some} on ${days[0] ?? MISSING}`;
}

/** The verdict in sentences: what was achieved, how far from the target, how sure that is. */
export function verdictOpening(verdict: Verdict): string {
  const { conformity, level, limitS, milestone, why } = verdict;
  if (!conformity || !level || limitS === null) return `There is no verdict: ${why}.`;
  const off = limitS - level.value;
  const side = off >= 0 ? 'inside' : 'outside';
  const rule =
    conformity.verdict === 'met'
      ? `That is further inside than the ${seconds(conformity.guard, null, DIGITS)} which the rule asks for`
      : conformity.verdict === 'missed'
        ? `That is further outside than the uncertainty of ${seconds(conformity.guard, null, DIGITS)} can account for`
        : `The rule asks for ${seconds(conformity.guard, null, DIGITS)} inside before it calls a target met`;
  return `${evidenceWords(verdict)}: ${seconds(level.value, null, DIGITS)} behind the reference, ${seconds(Math.abs(off), null, DIGITS)} ${side} the target. ${rule}: at most ${number(milestone.risk * 100, milestone.risk < 0.01 ? 1 : 0)}\u202f% of passes may be false. The chance that the level of those laps is inside is ${chanceWords(conformity.chance)}.`;
}
