import { type Conditions, type Confounder, confounders } from '../../statistics/confounders.ts';
import { quantity } from '../../units.ts';
import type { Digest } from './digest.ts';
import type { ConfounderFound } from './schema.ts';

/** What a session file notes of its conditions, as numbers in SI units where they are quantities. */
export function conditionsOf({ stage, conditions }: Pick<Digest, 'stage' | 'conditions'>): Conditions {
  const amount = (key: string, unit: string): number | null => {
    const text = conditions[key];
    return text === undefined ? null : quantity(text, unit);
  };
  const words = (key: string): string | null => conditions[key]?.trim() || null;
  const given = {
    tyres: words('tyres'),
    surface: words('surface'),
    trackK: amount('track', 'K'),
    airK: amount('air', 'K'),
    windMps: amount('wind', 'm/s'),
    windFromRad: amount('wind_from', 'rad'),
    fuelKg: amount('fuel', 'kg'),
  };
  const noted = Object.entries(given).filter(([, value]) => value !== null);
  return { stage, ...(Object.fromEntries(noted) as Omit<Conditions, 'stage'>) };
}

/** Significant digits of a condition, which was converted from what a person wrote. */
const DIGITS = 6;

/** Confounders as they are written. */
export function confoundersFound(found: readonly Confounder[]): ConfounderFound[] {
  const plain = (value: string | number | null): string | number | null =>
    typeof value === 'number' ? Number(value.toPrecision(DIGITS)) : value;
  return found.map((c) => ({ ...c, before: plain(c.before), after: plain(c.after) }));
}

/** What else changed from one session to another. */
export const confoundersBetween = (before: Digest, after: Digest): ConfounderFound[] =>
  confoundersFound(confounders(conditionsOf(before), conditionsOf(after)));
