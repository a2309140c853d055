import type { CircuitView, CornerTechnique } from '../campaign/results.ts';
import { cornerPath, type TableLinks } from './paths.ts';
import type { Cell, Table } from './report.ts';
import { summary } from './summary.ts';
import { degreesNumber, gNumber, kmhNumber, MISSING, metresNumber, number } from './words.ts';

/** One measure of technique: what it is called, how it is read and written, and which rule has to agree. */
export interface Measure {
  readonly key: string;
  readonly title: string;
  readonly unit: string;
  of(technique: CornerTechnique): number | null;
  write(value: number): string;
  readonly rule: 'braking' | 'pickUp' | null;
  readonly station: boolean;
}

/** The measures that tables show, in the order of a corner. */
export const MEASURES: readonly Measure[] = [
  {
    key: 'brakeOnsetM',
    title: 'brake on',
    unit: 'm',
    of: (t) => t.brakeOnsetM,
    write: (v) => metresNumber(v),
    rule: 'braking',
    station: true,
  },
  {
    key: 'peakDecelerationMps2',
    title: 'peak braking',
    unit: 'g',
    of: (t) => t.peakDecelerationMps2,
    write: (v) => gNumber(v),
    rule: 'braking',
    station: false,
  },
  {
    key: 'brakeReleaseM',
    title: 'brake off',
    unit: 'm',
    of: (t) => t.brakeReleaseM,
    write: (v) => metresNumber(v),
    rule: 'braking',
    station: true,
  },
  {
    key: 'slowestMps',
    title: 'slowest',
    unit: 'km/h',
    of: (t) => t.slowestMps,
    write: (v) => kmhNumber(v),
    rule: null,
    station: false,
  },
  {
    key: 'maxLeanRad',
    title: 'lean',
    unit: '°',
    of: (t) => t.maxLeanRad,
    write: (v) => degreesNumber(v),
    rule: null,
    station: false,
  },
  {
    key: 'coastingS',
    title: 'coasting',
    unit: 's',
    of: (t) => t.coastingS,
    write: (v) => number(v, 2),
    rule: null,
    station: false,
  },
  {
    key: 'pickUpM',
    title: 'pick-up',
    unit: 'm',
    of: (t) => t.pickUpM,
    write: (v) => metresNumber(v),
    rule: 'pickUp',
    station: true,
  },
  {
    key: 'fullDriveM',
    title: 'full drive',
    unit: 'm',
    of: (t) => t.fullDriveM,
    write: (v) => metresNumber(v),
    rule: 'pickUp',
    station: true,
  },
  {
    key: 'exitMps',
    title: 'exit',
    unit: 'km/h',
    of: (t) => t.exitMps,
    write: (v) => kmhNumber(v),
    rule: null,
    station: false,
  },
];

/** Difference of two stations the short way round the lap. */
export const stationDifference = (a: number, b: number, lengthM: number): number => {
  const d = (((a - b) % lengthM) + lengthM) % lengthM;
  return d > lengthM / 2 ? d - lengthM : d;
};

/** What the reference rider's laps did in a corner, by measure, under the rule that the lap was read with. */
export function referenceOf(circuit: CircuitView, corner: string, measure: Measure, like: CornerTechnique | null) {
  const laps = circuit.referenceBand?.technique.flatMap((lap) => lap.filter((t) => t.corner === corner)) ?? [];
  const values = laps
    .filter((t) => like === null || measure.rule === null || t.rule[measure.rule] === like.rule[measure.rule])
    .map(measure.of)
    .filter((v) => v !== null);
  if (!measure.station || values.length === 0) return summary(values);
  // Stations near the gate: all on one side of it.
  const [first = 0] = values;
  return summary(values.map((v) => first + stationDifference(v, first, circuit.lengthM)));
}

/** A value with its difference from the reference median; strong where it lies outside the reference rider's own spread. */
export function measureCell(circuit: CircuitView, technique: CornerTechnique, measure: Measure): Cell {
  const value = measure.of(technique);
  if (value === null) return { text: MISSING, tone: 'quiet' };
  const reference = referenceOf(circuit, technique.corner, measure, technique);
  if (!reference) return { text: measure.write(value) };
  const difference = measure.station
    ? stationDifference(value, reference.median, circuit.lengthM)
    : value - reference.median;
  const text = measure.write(difference);
  const written = difference > 0 && /[1-9]/.test(text) ? `+${text}` : text;
  const beyond = reference.median + difference > reference.high || reference.median + difference < reference.low;
  return { text: measure.write(value), aside: written, ...(beyond ? { tone: 'strong' as const } : {}) };
}

/** Technique of one lap, a row a corner, each measure with its difference from the reference rider's median. */
export function techniqueTable(circuit: CircuitView, technique: readonly CornerTechnique[], links: TableLinks): Table {
  const used = MEASURES.filter((m) => technique.some((t) => m.of(t) !== null));
  const band = circuit.referenceBand;
  const bySpeed = technique.filter((t) => t.rule.braking === 'speed' || t.rule.pickUp === 'speed').length;
  return {
    id: 'technique',
    caption: band
      ? `Technique by corner; the small number is the difference from the median of ${band.laps} reference laps`
      : 'Technique by corner',
    columns: [
      { title: 'corner', kind: 'text' },
      ...used.map((m) => ({ title: m.title, unit: m.unit, kind: 'number' as const })),
    ],
    rows: technique.map((t) => [
      { text: t.corner, href: cornerPath(circuit.id, t.corner) },
      ...used.map((m) => measureCell(circuit, t, m)),
    ]),
    ...links,
    note: [
      band
        ? 'Bold: outside the spread of the reference rider’s own laps. Stations count from the gate; a positive difference of a station is later on the lap.'
        : '',
      bySpeed
        ? `In ${bySpeed} of ${technique.length} corners an event was read from speed, because the channel is not in the log.`
        : '',
    ]
      .filter(Boolean)
      .join(' '),
  };
}
