import { type Conversion, conversion, lapTime as lapSeconds, quantity } from '../../units.ts';
import { count, lapTime, MISSING, number, signed, Z_90 } from '../words.ts';
import type { Reading, Scale } from './quantity.ts';

const THIN = '\u202f';

/** Units as people write them, where the code differs. */
const SYMBOLS: Readonly<Record<string, string>> = {
  deg: '°',
  '[g]': 'g',
  'm/s2': 'm/s²',
  '1': '',
  Cel: '°C',
  'deg/s': '°/s',
};

/** Conversion between units; bare numbers convert to bare numbers alone. */
export const conversionTo = (from: string, to: string): Conversion | null =>
  from === '1' ? (to === '1' ? { factor: 1, offset: 0 } : null) : conversion(from, to);

/** A value inside as the scale shows it. */
const shown = (value: number, { inside, shown: unit }: Scale): number => {
  const change = conversionTo(inside, unit) ?? { factor: 1, offset: 0 };
  return value * change.factor + change.offset;
};

/** Digits that the uncertainty allows, else those of the scale. */
function digitsOf({ sigma, scale }: Reading): number {
  if (sigma === null || sigma <= 0) return scale.digits;
  const width = Z_90 * Math.abs(shown(sigma, scale) - shown(0, scale));
  return Math.min(scale.digits, Math.max(scale.inside === 's' ? 1 : 0, -Math.floor(Math.log10(width))));
}

/**
 * A number with its unit, to as many digits as its uncertainty allows, and that behind `±` where it is known.
 *
 * @param change with its sign, as a difference
 */
export function written(reading: Reading, change = false): string {
  const { value, scale, sigma } = reading;
  if (value === null) return MISSING;
  if (typeof value === 'string') return value;
  const digits = digitsOf(reading);
  if (scale.lapTime) return lapTime(value, digits);
  const amount = shown(value, scale);
  const text = change ? signed(amount, digits) : scale.inside === '1' ? count(amount) : number(amount, digits);
  const half = sigma === null || sigma <= 0 ? null : Z_90 * Math.abs(shown(sigma, scale) - shown(0, scale));
  const doubt = half === null ? '' : ` ±${THIN}${Math.max(10 ** -digits, half).toFixed(digits)}`;
  const unit = SYMBOLS[scale.shown] ?? scale.shown;
  return `${text}${doubt}${unit === '' ? '' : unit === '°' ? unit : THIN + unit}`;
}

/** The spread of the laps behind a value, in words; empty for a single one. */
export function spreadWords({ range, scale }: Reading): string {
  if (!range || range.laps < 2) return '';
  const one = (value: number): string => written({ value, why: '', scale, sigma: null, range: null, stands: {} });
  return `${one(range.low)} to ${one(range.high)} over ${range.laps} laps`;
}

/**
 * A number that a person wrote as the end of a range: bare, then in the unit that is shown, or with a unit, or as m:ss.s.
 *
 * @returns in the inside unit; null where it cannot be read
 */
export function insideValue(text: string, scale: Scale): number | null {
  if (scale.inside === 's' && text.includes(':')) return lapSeconds(text);
  const bare = Number(text.replace('−', '-'));
  if (text.trim() !== '' && Number.isFinite(bare)) {
    const change = conversionTo(scale.inside, scale.shown) ?? { factor: 1, offset: 0 };
    return (bare - change.offset) / change.factor;
  }
  return scale.inside === '1' ? null : quantity(text.replace('−', '-'), scale.inside);
}
