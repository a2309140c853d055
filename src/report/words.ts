import { degrees, g, kmh } from '../units.ts';

/**
 * Numbers as the pages write them. Minus is U+2212, units follow a narrow no-break space (U+202F), and a missing
 * number (null, NaN, infinite) is an en dash everywhere.
 */

/** Half-width of a 90 % interval of a normal distribution, in standard deviations. Every ± on the site is this wide. */
export const Z_90 = 1.645;

/** The mark for a number that is not there. */
export const MISSING = '–';

/** Narrow no-break space, between a number and its unit. */
const THIN = '\u202f';

type Maybe = number | null | undefined;

const isNumber = (value: Maybe): value is number => typeof value === 'number' && Number.isFinite(value);

/** Digits after the point without a sign: `fixed(-0.0004, 2)` is `0.00`. */
function fixed(value: number, digits: number): string {
  const text = Math.abs(value).toFixed(digits);
  return value < 0 && Number(text) !== 0 ? `−${text}` : text;
}

/**
 * A plain number with a fixed count of digits and a true minus sign.
 *
 * @returns `–` for a missing number; never a negative zero.
 */
export const number = (value: Maybe, digits = 0): string => (isNumber(value) ? fixed(value, digits) : MISSING);

/**
 * A lap time as m:ss.mmm, e.g. `92.412` s is `1:32.412`.
 *
 * @param digits 0 to 3 digits of the second
 */
export function lapTime(timeS: Maybe, digits = 3): string {
  if (!isNumber(timeS)) return MISSING;
  const scale = 10 ** digits;
  const units = Math.round(Math.abs(timeS) * scale);
  const minutes = Math.floor(units / (60 * scale));
  const rest = (units - minutes * 60 * scale) / scale;
  return `${timeS < 0 ? '−' : ''}${minutes}:${rest.toFixed(digits).padStart(digits ? digits + 3 : 2, '0')}`;
}

/**
 * How many digits of a second are worth showing for a standard deviation: down to the first digit of its 90 %
 * half-width, at least one and at most three. Three where nothing is known of the uncertainty.
 */
export function digitsFor(sigmaS: Maybe): number {
  if (!isNumber(sigmaS) || sigmaS <= 0) return 3;
  return Math.min(3, Math.max(1, -Math.floor(Math.log10(Z_90 * sigmaS))));
}

/** A difference with its sign, `+0.31` or `−0.12`; what rounds to zero has none. */
export function signed(value: Maybe, digits: number): string {
  if (!isNumber(value)) return MISSING;
  const text = fixed(value, digits);
  return value > 0 && Number(text) !== 0 ? `+${text}` : text;
}

/** The 90 % half-width of a standard deviation, `± 0.02`; empty where there is none. Never shown as zero. */
export function plusMinus(sigma: Maybe, digits: number): string {
  if (!isNumber(sigma) || sigma <= 0) return '';
  const smallest = 10 ** -digits;
  return `±${THIN}${Math.max(smallest, Z_90 * sigma).toFixed(digits)}`;
}

/** Seconds with unit: `4.07 s`; digits by the uncertainty where one is given, which is then shown as well. */
export function seconds(valueS: Maybe, sigmaS?: Maybe, digits = digitsFor(sigmaS)): string {
  if (!isNumber(valueS)) return MISSING;
  const doubt = plusMinus(sigmaS, digits);
  return `${fixed(valueS, digits)}${doubt ? ` ${doubt}` : ''}${THIN}s`;
}

/** A gap in words: `4.07 ± 0.02 s behind`, `0.12 ± 0.02 s ahead`, or `level` where it rounds to nothing. */
export function gapWords(gapS: Maybe, sigmaS?: Maybe, digits = digitsFor(sigmaS)): string {
  if (!isNumber(gapS)) return MISSING;
  if (Number(Math.abs(gapS).toFixed(digits)) === 0) return `level (within ${seconds(10 ** -digits, null, digits)})`;
  return `${seconds(Math.abs(gapS), sigmaS, digits)} ${gapS < 0 ? 'ahead' : 'behind'}`;
}

/** A loss or a gain in words: `0.31 s lost`, `0.12 s gained`. */
export function lossWords(gapS: Maybe, sigmaS?: Maybe, digits = digitsFor(sigmaS)): string {
  if (!isNumber(gapS)) return MISSING;
  return `${seconds(Math.abs(gapS), sigmaS, digits)} ${gapS < 0 ? 'gained' : 'lost'}`;
}

/** A share between 0 and 1 as `58 %`. */
export const percent = (share: Maybe, digits = 0): string =>
  isNumber(share) ? `${fixed(share * 100, digits)}${THIN}%` : MISSING;

/** Speed as a bare number of km/h. */
export const kmhNumber = (speedMps: Maybe, digits = 1): string =>
  isNumber(speedMps) ? fixed(kmh(speedMps), digits) : MISSING;

/** Speed with unit, `182.4 km/h`. */
export const speedText = (speedMps: Maybe, digits = 1): string =>
  isNumber(speedMps) ? `${kmhNumber(speedMps, digits)}${THIN}km/h` : MISSING;

/** Angle as a bare number of degrees. */
export const degreesNumber = (angleRad: Maybe, digits = 0): string =>
  isNumber(angleRad) ? fixed(degrees(angleRad), digits) : MISSING;

/** Acceleration as a bare multiple of standard gravity. */
export const gNumber = (accelerationMps2: Maybe, digits = 2): string =>
  isNumber(accelerationMps2) ? fixed(g(accelerationMps2), digits) : MISSING;

/** Length with unit, thousands apart: `1 204 m`. */
export function metres(lengthM: Maybe, digits = 0): string {
  return isNumber(lengthM) ? `${metresNumber(lengthM, digits)}${THIN}m` : MISSING;
}

/** Length as a bare number of metres, thousands apart by a narrow space. */
export function metresNumber(lengthM: Maybe, digits = 0): string {
  return isNumber(lengthM) ? thousands(fixed(lengthM, digits)) : MISSING;
}

/** A whole number with its thousands apart: `61 234`. */
export const count = (value: Maybe): string => (isNumber(value) ? thousands(fixed(value, 0)) : MISSING);

function thousands(text: string): string {
  const [whole = '', rest] = text.split('.');
  const spaced = whole.replace(/\B(?=(\d{3})+$)/g, THIN);
  return rest === undefined ? spaced : `${spaced}.${rest}`;
}

/** `1 lap`, `3 laps`, `no laps`; `many` where the plural is not formed by s. */
export function plural(value: number, one: string, many = `${one}s`): string {
  return `${value === 0 ? 'no' : count(value)} ${value === 1 ? one : many}`;
}

/** `a`, `a and b`, `a, b and c`. */
export function listWords(items: readonly string[]): string {
  if (items.length < 2) return items.join('');
  return `${items.slice(0, -1).join(', ')} and ${items.at(-1)}`;
}

/** The first letter as a capital, for a sentence put together from parts. */
export const sentence = (text: string): string => text.charAt(0).toUpperCase() + text.slice(1);

/** The day of an ISO date or date and time, `2026-05-21`. */
export const isoDate = (text: string): string => text.slice(0, 10);
