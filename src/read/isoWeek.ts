/** A week of ISO 8601: Monday to Sunday, week 1 is the one that holds the year's first Thursday. */
export interface IsoWeek {
  /** `2026-W11`. */
  readonly name: string;
  readonly year: number;
  readonly number: number;
  /** Its first and last day, `2026-03-09`. */
  readonly monday: string;
  readonly sunday: string;
}

const DAY_MS = 86_400_000;
const iso = (ms: number): string => new Date(ms).toISOString().slice(0, 10);

/** Days since Monday: 0 to 6. */
const weekday = (ms: number): number => (new Date(ms).getUTCDay() + 6) % 7;

/** Monday of week 1 of a year: the week of 4 January. */
function firstMonday(year: number): number {
  const fourth = Date.parse(`${String(year).padStart(4, '0')}-01-04T00:00:00Z`);
  return fourth - weekday(fourth) * DAY_MS;
}

function weekFrom(mondayMs: number): IsoWeek {
  // The year of a week is that of its Thursday.
  const year = new Date(mondayMs + 3 * DAY_MS).getUTCFullYear();
  const number = Math.round((mondayMs - firstMonday(year)) / (7 * DAY_MS)) + 1;
  const name = `${String(year).padStart(4, '0')}-W${String(number).padStart(2, '0')}`;
  return { name, year, number, monday: iso(mondayMs), sunday: iso(mondayMs + 6 * DAY_MS) };
}

/**
 * The week that a day falls in.
 *
 * @param date `2026-03-17`, a day that the calendar has
 */
export function weekOf(date: string): IsoWeek {
  const ms = Date.parse(`${date.slice(0, 10)}T00:00:00Z`);
  return weekFrom(ms - weekday(ms) * DAY_MS);
}

/** A week by its name, `2026-W11`; null where it is not a name or the year has no such week. */
export function weekNamed(name: string): IsoWeek | null {
  const match = /^(\d{4})-W(\d{2})$/.exec(name);
  if (!match) return null;
  const week = weekFrom(firstMonday(Number(match[1])) + (Number(match[2]) - 1) * 7 * DAY_MS);
  return week.name === name ? week : null;
}
