import { type Forecast, forecast } from '../../statistics/forecast.ts';
import type { Results } from '../readResults.ts';
import { standing } from '../standing.ts';

const DAY_MS = 86_400_000;
const day = (iso: string): number => Date.parse(`${iso.slice(0, 10)}T00:00:00Z`) / DAY_MS;

/** What the sessions up to a day say of a target at its date. */
export interface Outlook {
  readonly due: string;
  readonly limitS: number;
  /** Chance that a session at the date has a median within the target, 0 to 1. */
  readonly chance: number;
  readonly medianS: number;
  readonly lowS: number;
  readonly highS: number;
  readonly sessions: number;
  readonly record: Pick<Forecast['record'], 'forecasts' | 'held'>;
}

const known = new WeakMap<Results, Map<string, Outlook | null>>();

/**
 * Forecast of the median gap at the date of a target: the campaign's own where every session had been ridden by then, else
 * one from those that had, as it could have been made on that day.
 *
 * @param until the last day that is looked at
 * @returns null where there is no date ahead, or where the sessions are of too few weeks
 */
export function outlook(
  results: Results,
  { circuit, due, limitS, until }: { circuit: string; due: string | null; limitS: number | null; until: string },
): Outlook | null {
  if (due === null || limitS === null || due <= until) return null;
  let asked = known.get(results);
  if (!asked) known.set(results, (asked = new Map()));
  const key = [circuit, due, limitS, until].join(' ');
  let found = asked.get(key);
  if (found === undefined) asked.set(key, (found = make()));
  return found;

  function make(): Outlook | null {
    const of = results.campaign.findings.circuits.find((c) => c.circuit === circuit);
    const progress = (of?.progress ?? []).flatMap((id) => results.session(id) ?? []);
    const seen = progress.filter((s) => s.date <= until);
    const sessions = seen.length;
    if (seen.length === progress.length) {
      const made = of?.forecast.made;
      const target = made?.targets.find((t) => t.due === due && Math.abs(t.gapS - limitS!) < 1e-9);
      if (!made || !target) return null;
      const { probability: chance, medianS, lowS, highS } = target;
      const { forecasts, held } = made.record;
      return { due: due!, limitS: limitS!, chance, medianS, lowS, highS, sessions, record: { forecasts, held } };
    }
    const points = seen.flatMap((session) => {
      const stands = standing(results, session);
      return stands ? [{ at: day(session.date), gapS: stands.median }] : [];
    });
    const [first] = points;
    if (!first) return null;
    const weeks = (at: number): number => (at - first.at) / 7;
    const at = weeks(day(due!));
    const made = forecast(
      points.map((p) => ({ weeks: weeks(p.at), gapS: p.gapS })),
      [at],
    );
    const [fan] = made?.fan ?? [];
    if (!made || !fan) return null;
    return {
      due: due!,
      limitS: limitS!,
      chance: made.chance(at, limitS!),
      medianS: fan.medianS,
      lowS: fan.interval.low,
      highS: fan.interval.high,
      sessions,
      record: made.record,
    };
  }
}
