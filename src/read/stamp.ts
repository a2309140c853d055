/**
 * A date-and-time stamp of ISO 8601 (`2026-01-08T10:15:00.25Z`, offset or Z optional, blank for T allowed) as Unix
 * seconds, or a time of day (`10:15:00.25`) as seconds of the day. Stamps without offset are read as UTC.
 *
 * @returns null where the text is neither
 */
export function stamp(text: string): number | null {
  const date = /^(\d{4})-(\d\d)-(\d\d)[T ](\d\d):(\d\d)(?::(\d\d)([.,]\d+)?)?\s*(Z|[+-]\d\d:?(?:\d\d)?)?$/.exec(text);
  if (date) {
    const [, year, month, day, hour, minute, second = '0', fraction = '', zone = 'Z'] = date;
    const whole = Date.UTC(Number(year), Number(month) - 1, Number(day), Number(hour), Number(minute), Number(second));
    const valid = new Date(whole).toISOString().startsWith(`${year}-${month}-${day}`) || second === '60';
    if (!valid) return null;
    return whole / 1000 + (fraction ? Number(fraction.replace(',', '.')) : 0) - zoneSeconds(zone);
  }
  const clock = /^(\d{1,2}):(\d\d):(\d\d(?:[.,]\d+)?)$/.exec(text);
  if (!clock) return null;
  const [, hour, minute, second = ''] = clock;
  return Number(hour) * 3600 + Number(minute) * 60 + Number(second.replace(',', '.'));
}

function zoneSeconds(zone: string): number {
  if (zone === 'Z') return 0;
  const digits = zone.slice(1).replace(':', '').padEnd(4, '0');
  const seconds = Number(digits.slice(0, 2)) * 3600 + Number(digits.slice(2)) * 60;
  return zone.startsWith('-') ? -seconds : seconds;
}
