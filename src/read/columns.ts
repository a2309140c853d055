import { nearestWord } from '../nearestWord.ts';
import type { Problem } from '../problem.ts';
import { type Conversion, conversion } from '../units.ts';
import { headingParts } from './csv.ts';
import { type ChannelName, channelKind, type MappedColumn, type Recording } from './recording.ts';
import type { Table } from './table.ts';

/** One entry of `columns:` in a session file. */
export interface ColumnRule {
  /** Heading in the log, whole or without its unit. */
  readonly from: string;
  /** UCUM; wins over the unit in the heading. */
  readonly unit?: string | undefined;
  readonly negate?: boolean | undefined;
  /** Angles of travel: counted counter-clockwise from east, not clockwise from north. */
  readonly fromEast?: boolean | undefined;
  /** Place in the session file, for problems. */
  readonly file: string;
  readonly line?: number | undefined;
}

/** From headings to channels: rules of the session file first, then headings that are channel names. */
export class ColumnMap {
  readonly rules: ReadonlyMap<ChannelName, ColumnRule>;

  constructor(rules: ReadonlyMap<ChannelName, ColumnRule> = new Map()) {
    this.rules = rules;
  }

  wants(heading: string): boolean {
    return this.channelOf(heading) !== null;
  }

  channelOf(heading: string): { name: ChannelName; rule: ColumnRule | null } | null {
    const { name } = headingParts(heading);
    for (const [channel, rule] of this.rules) if (rule.from === heading || rule.from === name) return { name: channel, rule };
    const own = name.toLowerCase();
    // A channel that a rule takes from elsewhere is not taken from its namesake as well.
    return channelKind(own) !== null && !this.rules.has(own as ChannelName) ? { name: own as ChannelName, rule: null } : null;
  }
}

const TURN = 2 * Math.PI;

/**
 * Columns under a file's own headings and units -> channels in SI.
 * Columns that nothing claims are listed; a rule whose column is not there is a problem with the nearest heading as hint.
 */
export function recordingOf(
  table: Table,
  file: string,
  map: ColumnMap,
): { recording: Recording | null; problems: readonly Problem[] } {
  const problems: Problem[] = [...table.problems];
  const channels = new Map<ChannelName, Float64Array>();
  const columns: MappedColumn[] = [];
  const otherColumns: string[] = [];
  const place = { file, line: 1 };
  let time: Float64Array | null = null;
  let epochS: number | null = null;

  table.headings.forEach((heading, i) => {
    const claim = map.channelOf(heading);
    const values = table.columns[i];
    if (claim === null || !values) {
      otherColumns.push(heading);
      return;
    }
    const { name, rule } = claim;
    if (channels.has(name) || (name === 'time' && time !== null)) {
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
    if (table.stamps.has(i)) {
      if (name !== 'time') otherColumns.push(heading);
      else {
        epochS = firstNumber(values);
        time = values.map((v) => v - (epochS ?? 0));
        columns.push({ name, column: heading, unit: 'date and time', inside: 's' });
      }
      return;
    }
    const unit = rule?.unit ?? table.units[i];
    const change = unit === null || unit === undefined ? null : toInside(name, unit);
    if (change === null) {
      const kind = channelKind(name);
      const inside = kind?.units[0] ?? '1';
      const plain = unit === null || unit === undefined;
      const harmless = plain && inside === '1';
      if (!harmless)
        problems.push({
          code: 'UNIT_UNKNOWN',
          severity: plain ? 'warn' : 'stop',
          place: { ...place, column: heading },
          found: plain ? 'no unit' : `the unit \`${unit}\``,
          expected: `a UCUM unit that converts to ${kind?.units.map((u) => `\`${u}\``).join(' or ')}${unitHint(unit)}`,
          remedy: plain
            ? `taken as \`${inside}\`; write \`${name} [${inside}]\` in the heading or \`columns: { ${name}: { from: "${heading}", unit: "…" } }\` in the session file`
            : `correct the heading, or give the unit in the session file: \`columns: { ${name}: { from: "${heading}", unit: "…" } }\``,
        });
      if (!plain) {
        otherColumns.push(heading);
        return;
      }
    }
    const { factor, offset, inside } = change ?? { factor: 1, offset: 0, inside: channelKind(name)?.units[0] ?? '1' };
    const sign = rule?.negate ? -1 : 1;
    for (let k = 0; k < values.length; k++) values[k] = sign * (values[k]! * factor + offset);
    if (name === 'heading' && !rule?.fromEast) for (let k = 0; k < values.length; k++) values[k] = TURN / 4 - values[k]!;
    columns.push({ name, column: heading, unit: unit ?? `${inside} (assumed)`, inside });
    if (name === 'time') time = values;
    else channels.set(name, values);
  });

  for (const [name, rule] of map.rules)
    if (!table.headings.some((heading) => map.channelOf(heading)?.rule === rule))
      problems.push({
        code: 'COLUMN_MISSING',
        severity: 'stop',
        place: { file: rule.file, ...(rule.line === undefined ? {} : { line: rule.line }), key: `columns.${name}` },
        found: `no column \`${rule.from}\` in ${file}`,
        expected: `one of ${table.headings.map((h) => `\`${h}\``).join(', ')}`,
        remedy: `${hint(rule.from, table.headings)}correct \`from:\`, or take the line out`,
      });

  if (time === null) {
    problems.push({
      code: 'CHANNEL_MISSING',
      severity: 'stop',
      place,
      found: `no channel \`time\` among ${table.headings.map((h) => `\`${h}\``).join(', ')}`,
      expected: 'a column `time [s]`, or one named under `columns:`',
      remedy: 'add to the session file: `columns: { time: { from: "…", unit: "s" } }`',
    });
    return { recording: null, problems };
  }
  // Unix stamps written as numbers: keep the small part, where a double has its digits.
  const t: Float64Array = time;
  if (epochS === null && (firstNumber(t) ?? 0) > 1e8) {
    epochS = firstNumber(t) ?? 0;
    for (let k = 0; k < t.length; k++) t[k] = t[k]! - epochS;
  }
  return {
    recording: {
      file,
      sha256: table.sha256,
      bytes: table.bytes,
      rows: table.rows,
      timeS: t,
      epochS,
      channels,
      columns,
      otherColumns,
      lineOfRow: table.lineOfRow,
      problems,
    },
    problems,
  };
}

function toInside(name: ChannelName, unit: string): (Conversion & { inside: string }) | null {
  for (const inside of channelKind(name)?.units ?? []) {
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

function unitHint(unit: string | null | undefined): string {
  const known: Record<string, string> = { rpm: '/min', kph: 'km/h', kmph: 'km/h', mps: 'm/s', nm: 'N.m', 'm/s^2': 'm/s2', psi: '[psi]', mph: '[mi_i]/h', g: '[g]', '°': 'deg', '°c': 'Cel', c: 'Cel' };
  const better = unit === null || unit === undefined ? undefined : known[unit.toLowerCase()];
  return better ? `; the UCUM code may be \`${better}\`` : '';
}

function hint(word: string, among: readonly string[]): string {
  const near = nearestWord(word, among);
  return near ? `perhaps \`${near}\`; ` : '';
}

function firstNumber(values: Float64Array): number | null {
  for (const v of values) if (!Number.isNaN(v)) return v;
  return null;
}
