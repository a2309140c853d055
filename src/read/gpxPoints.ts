import type { Problem } from '../problem.ts';
import { LIMITS, tooLarge } from './limits.ts';
import { listed } from './listed.ts';
import { stamp } from './stamp.ts';
import type { Cut, Table, TableRequest } from './table.ts';

/** What GPX calls things, and what they are called and measured in here. */
const KNOWN: ReadonlyMap<string, { readonly name: string; readonly unit: string }> = new Map([
  ['time', { name: 'time', unit: 's' }],
  ['ele', { name: 'alt', unit: 'm' }],
  ['speed', { name: 'speed', unit: 'm/s' }],
  ['course', { name: 'heading', unit: 'deg' }],
]);
/** Order of the elements of a point in the schema. */
const ORDER = [
  'ele',
  'time',
  'magvar',
  'geoidheight',
  'name',
  'cmt',
  'desc',
  'src',
  'link',
  'sym',
  'type',
  'fix',
  'sat',
  'hdop',
  'vdop',
  'pdop',
  'ageofdgpsdata',
  'dgpsid',
  'extensions',
];
const FIX: ReadonlyMap<string, number> = new Map([
  ['none', 0],
  ['2d', 2],
  ['3d', 3],
  ['dgps', 4],
  ['pps', 5],
]);
const NUMBER = /^[+-]?(\d+\.?\d*|\.\d+)([eE][+-]?\d+)?$/;

/** Collects the track points of a GPX file while it is parsed: a row a point, a column a kind of number. */
export class GpxPoints {
  readonly #request: TableRequest;
  readonly #columns = new Map<string, number[]>();
  readonly #units = new Map<string, string>();
  readonly #wanted = new Map<string, boolean>();
  /** What departs from the rules -> how often, and the first. */
  readonly #departures = new Map<string, { count: number; point: number }>();
  readonly #unreadable = new Map<string, { count: number; point: number; sample: string }>();
  #points = 0;
  #others = 0;
  #inTrack = false;
  /** Elements of the point at hand, for their order. */
  #latest = -1;
  #values = 0;

  constructor(request: TableRequest) {
    this.#request = request;
    for (const name of ['time', 'lat', 'lon']) this.#column(name, name === 'time' ? 's' : 'deg');
  }

  /** An element begins. Returns what the parser is to make of it: false, not to keep it. */
  open(name: string, attributes: Readonly<Record<string, string>>): boolean {
    if (name === 'gpx') this.#root(attributes);
    else if (name === 'trkpt') this.#point(attributes);
    else if (name === 'wpt' || name === 'rtept') {
      this.#others++;
      this.#inTrack = false;
    } else if (name === 'trkseg' || name === 'trk') this.#inTrack = false;
    else if (this.#inTrack) this.#inOrder(name);
    return false;
  }

  /** An element without children ends. */
  leaf(name: string, value: string, isLeaf: boolean): void {
    if (!this.#inTrack || !isLeaf || value === '') return;
    const known = KNOWN.get(name);
    if (name === 'time') this.#set('time', 's', this.#time(value));
    else if (name === 'fix') this.#set('fix', '1', this.#fix(value));
    else if (NUMBER.test(value.trim())) this.#set(known?.name ?? name, known?.unit ?? null, Number(value));
    else if (known) this.#fault(known.name, value);
  }

  #root(attributes: Readonly<Record<string, string>>): void {
    const version = attributes['version'];
    if (version === undefined) this.departure('no `version` in `<gpx>`');
    else if (version !== '1.1') this.departure(`version ${version.slice(0, 20)}`);
  }

  #point(attributes: Readonly<Record<string, string>>): void {
    this.#inTrack = true;
    this.#latest = -1;
    this.#points++;
    if (this.#points > LIMITS.values)
      throw tooLarge(this.#request.file, {}, `more than ${LIMITS.values} points`, 'fewer');
    this.#set('lat', 'deg', this.#degrees('lat', attributes['lat'], 90, true));
    this.#set('lon', 'deg', this.#degrees('lon', attributes['lon'], 180, false));
  }

  #degrees(name: string, text: string | undefined, most: number, closed: boolean): number {
    if (text === undefined || !NUMBER.test(text.trim())) {
      this.#fault(name, text ?? '');
      return Number.NaN;
    }
    const value = Number(text);
    if (Math.abs(value) > most) {
      this.#fault(name, text);
      return Number.NaN;
    }
    if (!closed && value === most) this.departure('longitude 180, which is written -180');
    return value;
  }

  #time(text: string): number {
    const time = stamp(text.trim());
    if (time?.kind === 'instant') return time.seconds;
    this.#fault('time', text);
    return Number.NaN;
  }

  #fix(text: string): number {
    const value = FIX.get(text.trim());
    if (value === undefined) this.#fault('fix', text);
    return value ?? Number.NaN;
  }

  #inOrder(name: string): void {
    const at = ORDER.indexOf(name);
    if (at === -1) return;
    if (at < this.#latest) this.departure(`\`${name}\` behind \`${ORDER[this.#latest]}\``);
    this.#latest = Math.max(this.#latest, at);
  }

  #column(name: string, unit: string | null): number[] | null {
    let wanted = this.#wanted.get(name);
    if (wanted === undefined) {
      if (this.#wanted.size >= LIMITS.columns)
        throw tooLarge(this.#request.file, {}, `more than ${LIMITS.columns} kinds of element`, 'fewer');
      wanted = this.#request.wanted(name);
      this.#wanted.set(name, wanted);
      if (unit !== null) this.#units.set(name, unit);
      if (wanted) this.#columns.set(name, []);
    }
    return wanted ? this.#columns.get(name)! : null;
  }

  #set(name: string, unit: string | null, value: number): void {
    const column = this.#column(name, unit);
    const row = this.#points - 1;
    // Of two elements of one name in a point, as two devices may write, the first counts.
    if (column === null || column.length > row) return;
    this.#values += row + 1 - column.length;
    if (this.#values > LIMITS.values)
      throw tooLarge(this.#request.file, {}, `more than ${LIMITS.values} values`, 'fewer');
    while (column.length < row) column.push(Number.NaN);
    column.push(value);
  }

  /** Something that departs from the rules of GPX, and is read all the same. */
  departure(what: string): void {
    const known = this.#departures.get(what) ?? { count: 0, point: this.#points };
    known.count++;
    if (this.#departures.size < 20 || this.#departures.has(what)) this.#departures.set(what, known);
  }

  #fault(name: string, text: string): void {
    const known = this.#unreadable.get(name) ?? { count: 0, point: this.#points, sample: text.slice(0, 40) };
    known.count++;
    this.#unreadable.set(name, known);
  }

  table(cut: Cut | null): Table {
    const rows = this.#points;
    const headings = [...this.#wanted.keys()];
    const read = headings.filter((name) => this.#wanted.get(name));
    if (read.length * rows > LIMITS.values)
      throw tooLarge(
        this.#request.file,
        {},
        `${rows} points with ${read.length} numbers each`,
        `at most ${LIMITS.values} numbers`,
      );
    return {
      headings,
      headingLine: null,
      units: headings.map((name) => this.#units.get(name) ?? null),
      columns: headings.map((name) => {
        const values = this.#columns.get(name);
        if (!values) return null;
        const column = new Float64Array(rows).fill(Number.NaN);
        column.set(values);
        return column;
      }),
      stamps: new Map([[headings.indexOf('time'), 'instant']]),
      rows,
      setAside: 0,
      cut,
      lineOfRow: null,
      problems: this.#problems(),
    };
  }

  #problems(): Problem[] {
    const { file } = this.#request;
    const problems: Problem[] = [];
    if (this.#points === 0)
      problems.push({
        code: 'LOG_EMPTY',
        severity: 'stop',
        place: { file },
        found: this.#others === 0 ? 'no point' : `no track, but ${this.#others} point(s) of routes or places`,
        expected: 'a track: `<trk><trkseg><trkpt …>`',
        remedy: 'export the track, or take the run out of the session file',
      });
    for (const [what, { count, point }] of this.#departures)
      problems.push({
        code: 'GPX_INVALID',
        severity: 'warn',
        place: { file },
        found: `${what}${point === 0 ? '' : ` at point ${point}`}${count > 1 ? ` and ${count - 1} more` : ''}`,
        expected: 'GPX 1.1',
        remedy: 'nothing to do if the numbers look right: it is read all the same',
      });
    for (const [name, { count, point, sample }] of this.#unreadable)
      problems.push({
        code: 'CELL_UNREADABLE',
        severity: 'warn',
        place: { file, column: name },
        found: `${listed([sample])} at point ${point}${count > 1 ? ` and ${count - 1} more` : ''}`,
        expected: EXPECTED[name] ?? 'a number',
        remedy: 'these values count as missing; export the track again',
      });
    return problems;
  }
}

const EXPECTED: Readonly<Record<string, string>> = {
  time: 'a date and time, `2026-01-08T10:15:00Z`, between 1970 and 2100',
  lat: 'degrees from -90 to 90, with a decimal point',
  lon: 'degrees from -180 to below 180, with a decimal point',
  fix: '`none`, `2d`, `3d`, `dgps` or `pps`',
};
