import { nearestWord } from '../nearestWord.ts';
import type { Place, Problem } from '../problem.ts';
import { type Conversion, conversion, ucumFor } from '../units.ts';
import { type ColumnMap, type ColumnRule, isDate } from './columnMap.ts';
import { elapsed, looksLikeBasicClock } from './elapsed.ts';
import { listed } from './listed.ts';
import { type ChannelName, channelKind, type MappedColumn, type Recording } from './recording.ts';
import { basicClockS } from './stamp.ts';
import type { Table } from './table.ts';

export { ColumnMap, type ColumnRule } from './columnMap.ts';

/** The file that a table was read from. */
export interface Source {
  /** As the user knows it. */
  readonly file: string;
  readonly bytes: number;
  readonly sha256: string;
}

const TURN = 2 * Math.PI;
/** So many headings are listed in a message. */
const LISTED = 30;

/**
 * Columns under a file's own headings and units -> channels in SI.
 * Columns that nothing claims are listed; a rule whose column is not there is a problem with the nearest heading as hint.
 * The values of the table are changed in place.
 */
export function recordingOf(
  table: Table,
  source: Source,
  map: ColumnMap,
): { recording: Recording | null; problems: readonly Problem[] } {
  const { file } = source;
  const problems: Problem[] = [...table.problems];
  const channels = new Map<ChannelName, Float64Array>();
  const columns: MappedColumn[] = [];
  const otherColumns: string[] = [];
  const place = { file, ...(table.headingLine === null ? {} : { line: table.headingLine }) };
  let timeColumn = -1;
  let basicClock = false;

  table.headings.forEach((heading, i) => {
    const claim = map.channelOf(heading);
    const values = table.columns[i];
    if (claim !== null && values === null) {
      // Known, but nobody asked for its values.
      const inside = channelKind(claim.name)?.units[0] ?? '1';
      columns.push({ name: claim.name, column: heading, unit: claim.rule?.unit ?? table.units[i] ?? inside, inside });
      return;
    }
    if (claim === null || !values) {
      otherColumns.push(heading);
      return;
    }
    const { name, rule } = claim;
    if (channels.has(name) || (name === 'time' && timeColumn !== -1)) {
      problems.push({
        code: 'COLUMN_TWICE',
        severity: 'warn',
        place: { ...place, column: heading },
        found: `a second column for the channel \`${name}\``,
        expected: 'one column a channel',
        remedy: `say which one counts in the session file: \`columns: { ${name}: { from: "…" } }\`; the first is used`,
      });
      otherColumns.push(heading);
      return;
    }
    if (name === 'time')
      basicClock = isBasicClock(values, rule?.unit ?? table.units[i] ?? null, heading, place, problems);
    if (name === 'time' && (basicClock || table.stamps.has(i))) {
      timeColumn = i;
      columns.push({ name, column: heading, unit: basicClock ? BASIC_CLOCK : 'date and time', inside: 's' });
      return;
    }
    if (table.stamps.has(i)) {
      otherColumns.push(heading);
      return;
    }
    const change = changeOf(name, rule, table.units[i] ?? null, heading, place, problems);
    if (change === null) {
      otherColumns.push(heading);
      return;
    }
    convert(values, change, name, rule);
    columns.push({ name, column: heading, unit: change.unit, inside: change.inside });
    if (name === 'time') timeColumn = i;
    else channels.set(name, values);
  });

  for (const [name, rule] of map.rules)
    if (!table.headings.some((heading) => map.channelOf(heading)?.rule === rule))
      problems.push({
        code: 'COLUMN_MISSING',
        severity: 'stop',
        place: { file: rule.file, ...(rule.line === undefined ? {} : { line: rule.line }), key: `columns.${name}` },
        found: `no column \`${rule.from}\` in ${file}`,
        expected: `one of ${listed(table.headings, LISTED)}`,
        remedy: `${hint(rule.from, table.headings)}correct \`from:\`, or take the line out`,
      });

  if (timeColumn === -1) {
    problems.push({
      code: 'CHANNEL_MISSING',
      severity: 'stop',
      place,
      found: `no channel \`time\` among ${listed(table.headings, LISTED)}`,
      expected: 'a column `time [s]`, or one named under `columns:`',
      remedy: 'add to the session file: `columns: { time: { from: "…", unit: "s" } }`',
    });
    return { recording: null, problems };
  }
  const time = timeOf(table, timeColumn, basicClock, file, problems);
  if (time === null) return { recording: null, problems };
  const { rows, lineOfRow } = table;
  return { recording: { ...source, rows, ...time, channels, columns, otherColumns, lineOfRow, problems }, problems };
}

const BASIC_CLOCK = 'hhmmss';

interface Change extends Conversion {
  readonly unit: string;
  readonly inside: string;
}

/** How a column becomes its channel; null, with a problem, where its unit does not convert. */
function changeOf(
  name: ChannelName,
  rule: ColumnRule | null,
  written: string | null,
  heading: string,
  place: Place,
  problems: Problem[],
): Change | null {
  const units = channelKind(name)?.units ?? ['1'];
  const inside = units[0] ?? '1';
  const far = name.endsWith('lat') ? HEMISPHERE.lat : name.endsWith('lon') ? HEMISPHERE.lon : null;
  const hemisphere = written === null ? undefined : far?.[written];
  if (hemisphere !== undefined) return { factor: hemisphere, offset: 0, unit: `deg ${written}`, inside };

  const unit = rule?.unit ?? written;
  if (unit === null) {
    // A channel without a unit, such as a gear, needs none.
    if (inside !== '1')
      problems.push({
        code: 'UNIT_UNKNOWN',
        severity: 'warn',
        place: { ...place, column: heading },
        found: 'no unit',
        expected: `a UCUM unit that converts to ${listed(units)}`,
        remedy: `taken as \`${inside}\`; write \`${name} [${inside}]\` in the heading or \`columns: { ${name}: { from: "${heading}", unit: "…" } }\` in the session file`,
      });
    return { factor: 1, offset: 0, unit: `${inside} (assumed)`, inside };
  }
  const change = toInside(units, unit);
  if (change !== null) return { ...change, unit };
  const better = ucumFor(unit);
  problems.push({
    code: 'UNIT_UNKNOWN',
    severity: 'stop',
    place: { ...place, column: heading },
    found: `the unit \`${unit}\``,
    expected: `a UCUM unit that converts to ${listed(units)}${better === null ? '' : `; the UCUM code may be \`${better}\``}`,
    remedy: `correct the heading, or give the unit in the session file: \`columns: { ${name}: { from: "${heading}", unit: "${better ?? '…'}" } }\``,
  });
  return null;
}

/** Letters that stand behind a latitude or longitude in its cell. */
const HEMISPHERE: Record<'lat' | 'lon', Record<string, number>> = { lat: { N: 1, S: -1 }, lon: { E: 1, W: -1 } };

function toInside(units: readonly string[], unit: string): (Conversion & { inside: string }) | null {
  for (const inside of units) {
    // UCUM's radian is a plain 1, so revolutions a minute would arrive 2π too small.
    if (inside === 'rad/s' && !/rad|deg/.test(unit)) {
      const hertz = conversion(unit, 'Hz');
      if (hertz) return { factor: hertz.factor * TURN, offset: hertz.offset * TURN, inside };
    }
    const change = conversion(unit, inside);
    if (change) return { ...change, inside };
  }
  return null;
}

function convert(
  values: Float64Array,
  { factor, offset }: Conversion,
  name: ChannelName,
  rule: ColumnRule | null,
): void {
  const sign = rule?.negate ? -1 : 1;
  if (factor !== 1 || offset !== 0 || sign !== 1)
    for (let k = 0; k < values.length; k++) values[k] = sign * (values[k]! * factor + offset);
  // In files clockwise from north, inside counter-clockwise from east.
  if (name === 'heading' && !rule?.fromEast) for (let k = 0; k < values.length; k++) values[k] = TURN / 4 - values[k]!;
}

/** Whether the times are numbers such as 101500.25; said where nobody wrote so. */
function isBasicClock(
  values: Float64Array,
  unit: string | null,
  heading: string,
  place: Place,
  problems: Problem[],
): boolean {
  if (unit !== null) return unit === BASIC_CLOCK;
  if (!looksLikeBasicClock(values)) return false;
  problems.push({
    code: 'UNIT_UNKNOWN',
    severity: 'warn',
    place: { ...place, column: heading },
    found: 'numbers that go from 59 to 100, as times of day without colons do',
    expected: 'seconds, or a unit',
    remedy: `taken as hours, minutes and seconds; say so in the session file: \`columns: { time: { from: "${heading}", unit: "${BASIC_CLOCK}" } }\``,
  });
  return true;
}

/** The clock of the recording; null, with a problem, where no stamp can be used. */
function timeOf(
  table: Table,
  column: number,
  basicClock: boolean,
  file: string,
  problems: Problem[],
): { timeS: Float64Array; epochS: number | null } | null {
  const { headings, stamps, columns, rows, lineOfRow, setAside } = table;
  const written = columns[column]!;
  const values = basicClock ? written.map(basicClockS) : written;
  const kind = basicClock ? 'clock' : (stamps.get(column) ?? null);
  const date = kind === 'clock' ? headings.findIndex((each, i) => isDate(each) && stamps.get(i) === 'date') : -1;
  const time = elapsed(values, kind, columns[date] ?? null);
  const place = { file, column: headings[column] ?? '' };
  if (time.outOfRange > 0) {
    const all = time.outOfRange === rows;
    const line = lineOfRow?.(time.firstOut);
    problems.push({
      code: 'TIME_RANGE',
      severity: all ? 'stop' : 'warn',
      place: { ...place, ...(line === undefined ? {} : { line }) },
      found: `${time.outOfRange} of ${rows} stamps outside the years 1973 to 2100`,
      expected: 'seconds since the start or since 1970, or a date and time',
      remedy: all
        ? 'give the unit in the session file, perhaps `columns: { time: { from: "…", unit: "ms" } }`'
        : 'these rows are set aside; look at the logger’s clock',
    });
    if (all) return null;
  }
  let without = -time.outOfRange - setAside;
  for (let row = 0; row < time.timeS.length; row++) if (Number.isNaN(time.timeS[row]!)) without++;
  if (without > 0)
    problems.push({
      code: 'TIME_MISSING',
      severity: without * 2 > rows ? 'stop' : 'warn',
      place,
      found: `${without} of ${rows} rows without a stamp`,
      expected: 'a stamp in every row',
      remedy: 'these rows are set aside; export the log with a time in every row',
    });
  return { timeS: time.timeS, epochS: time.epochS };
}

function hint(word: string, among: readonly string[]): string {
  const near = nearestWord(word, among);
  return near ? `perhaps \`${near}\`; ` : '';
}
