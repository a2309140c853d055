/** What a text says about time: an instant (Unix seconds), a date (Unix seconds of its midnight) or seconds of a day. */
export interface Stamp {
  readonly kind: 'instant' | 'date' | 'clock';
  readonly seconds: number;
}

const DATE = /^(\d{4})([-/])(\d\d)\2(\d\d)/;
const CLOCK = /^(\d{1,2}):(\d\d)(?::(\d\d)([.,]\d+)?)?\s*(Z|[+-]\d\d(?::?\d\d)?)?$/;
/** 2100-01-01: no log is younger; such a stamp is a fault of the clock. */
export const LATEST_S = 4_102_444_800;

/** The date read last: the rows of a log share one. */
let latest = { date: '1970-01-01', midnight: 0 };

/**
 * A stamp of ISO 8601: `2026-01-08T10:15:00.25Z` (offset or Z optional, a blank for the T and slashes in the date
 * allowed), `2026-01-08`, or `10:15:00.25`. Stamps without an offset are read as UTC.
 *
 * @returns null where the text is none of these, or not between 1970 and 2100
 */
export function stamp(text: string): Stamp | null {
  if (!text.startsWith(latest.date)) {
    const date = DATE.exec(text);
    if (!date) {
      const seconds = clock(text);
      return seconds === null ? null : { kind: 'clock', seconds };
    }
    const midnight = midnightS(Number(date[1]), Number(date[3]), Number(date[4]));
    if (midnight === null) return null;
    latest = { date: date[0], midnight };
  }
  const { midnight } = latest;
  if (text.length === 10) return { kind: 'date', seconds: midnight };
  const separator = text[10];
  if (separator !== 'T' && separator !== ' ') return null;
  const seconds = clock(text.slice(11));
  return seconds === null ? null : { kind: 'instant', seconds: midnight + seconds };
}

/** Numbers as `hhmmss.s` (the basic form of ISO 8601, and of receivers) to seconds of the day; NaN where it is none. */
export function basicClockS(value: number): number {
  const hour = Math.floor(value / 10_000);
  const minute = Math.floor(value / 100) % 100;
  const second = value % 100;
  return value >= 0 && hour < 24 && minute < 60 && second < 61 ? hour * 3600 + minute * 60 + second : Number.NaN;
}

/** Unix seconds of a day's first moment, UTC; null where there is no such day between 1970 and 2100. */
function midnightS(year: number, month: number, day: number): number | null {
  const seconds = Date.UTC(year, month - 1, day) / 1000;
  const date = new Date(seconds * 1000);
  const exists = date.getUTCMonth() === month - 1 && date.getUTCDate() === day;
  return exists && seconds >= 0 && seconds < LATEST_S ? seconds : null;
}

function clock(text: string): number | null {
  const match = CLOCK.exec(text);
  if (!match) return null;
  const [, hour, minute, second = '0', fraction = '', zone = 'Z'] = match;
  if (Number(hour) > 24 || Number(minute) > 59 || Number(second) > 60) return null;
  return Number(hour) * 3600 + Number(minute) * 60 + Number(second + fraction.replace(',', '.')) - zoneSeconds(zone);
}

function zoneSeconds(zone: string): number {
  if (zone === 'Z') return 0;
  const digits = zone.slice(1).replace(':', '').padEnd(4, '0');
  const seconds = Number(digits.slice(0, 2)) * 3600 + Number(digits.slice(2)) * 60;
  return zone.startsWith('-') ? -seconds : seconds;
}
