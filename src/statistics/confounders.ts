/** What a session was ridden under, as far as it was noted; numbers in SI units. */
export interface Conditions {
  readonly stage: string;
  readonly tyres?: string;
  readonly surface?: string;
  readonly trackK?: number;
  readonly airK?: number;
  readonly windMps?: number;
  readonly windFromRad?: number;
  readonly fuelKg?: number;
}

/** Changes that could move a corner by themselves. Track temperature as between envelopes that may be compared. */
const LIMITS = { trackK: 10, airK: 10, fuelKg: 3, windMps: 2 };

export interface Confounder {
  readonly what: 'stage' | 'tyres' | 'surface' | 'track temperature' | 'air temperature' | 'wind' | 'fuel';
  /** `not noted` where one of the two sessions does not tell: it cannot be ruled out. */
  readonly change: 'changed' | 'not noted';
  readonly before: string | number | null;
  readonly after: string | number | null;
}

/**
 * What else changed between two sessions, and what nobody noted: other reasons for a step than the software.
 *
 * @returns in a fixed order; temperatures in K, wind in m/s along its mean direction, fuel in kg
 */
export function confounders(before: Conditions, after: Conditions): Confounder[] {
  const words = (what: Confounder['what'], a: string | undefined, b: string | undefined): Confounder[] =>
    a !== undefined && a === b
      ? []
      : [{ what, change: a && b ? 'changed' : 'not noted', before: a ?? null, after: b ?? null }];
  const amounts = (
    what: Confounder['what'],
    a: number | undefined,
    b: number | undefined,
    limit: number,
    by = 0,
  ): Confounder[] =>
    a !== undefined && b !== undefined && Math.max(Math.abs(b - a), by) <= limit
      ? []
      : [
          {
            what,
            change: a !== undefined && b !== undefined ? 'changed' : 'not noted',
            before: a ?? null,
            after: b ?? null,
          },
        ];
  return [
    ...words('stage', before.stage, after.stage),
    ...words('tyres', before.tyres, after.tyres),
    ...words('surface', before.surface, after.surface),
    ...amounts('track temperature', before.trackK, after.trackK, LIMITS.trackK),
    ...amounts('air temperature', before.airK, after.airK, LIMITS.airK),
    ...amounts('wind', before.windMps, after.windMps, LIMITS.windMps, windTurn(before, after)),
    ...amounts('fuel', before.fuelKg, after.fuelKg, LIMITS.fuelKg),
  ];
}

/** Length of the difference of the two winds, m/s; 0 where a direction is not known. */
function windTurn(before: Conditions, after: Conditions): number {
  const [a, b] = [before, after].map(({ windMps, windFromRad }) =>
    windMps === undefined || windFromRad === undefined
      ? null
      : [windMps * Math.sin(windFromRad), windMps * Math.cos(windFromRad)],
  );
  return a && b ? Math.hypot(a[0]! - b[0]!, a[1]! - b[1]!) : 0;
}
