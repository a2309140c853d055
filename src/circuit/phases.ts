import { z } from 'zod';
import type { Problem } from '../problem.ts';
import { Yaml } from '../read/frontMatter.ts';

/** One corner of a phase map. Stations in metres from the gate, in [0, length); they rise from `a` round the lap. */
export interface PhaseCorner {
  readonly name: string;
  readonly direction: 'left' | 'right' | 'both';
  /** Where the line begins and ends to bend at the reference's speed. */
  readonly entryM: number;
  readonly exitM: number;
  /** Of the tightest place. */
  readonly radiusM: number;
  /** Whether the reference brakes for it. */
  readonly brakes: boolean;
  /** Earliest admissible onset of braking, in the straight before. */
  readonly a: number;
  /** Median brake onset of the reference; `r` where it does not brake. */
  readonly b: number;
  /** End of braking of the reference. */
  readonly r: number;
  /** Pick-up of the reference. */
  readonly p: number;
}

/** Fixed boundaries of a circuit, so that one week compares with the next. A person may edit the file. */
export interface PhaseMap {
  readonly version: number;
  readonly circuit: string;
  readonly lengthM: number;
  /** The reference it was made from, and how many of its laps. */
  readonly madeFrom: string;
  readonly corners: readonly PhaseCorner[];
}

const station = z.number({ error: 'a station in metres' });
const cornerShape = {
  name: z.union([z.string(), z.number()]).transform(String),
  direction: z.enum(['left', 'right', 'both']),
  entryM: station,
  exitM: station,
  radiusM: station,
  brakes: z.boolean(),
  a: station,
  b: station,
  r: station,
  p: station,
};
const shape = {
  version: z.number().int(),
  circuit: z.string(),
  lengthM: station,
  madeFrom: z.string(),
  corners: z.array(z.strictObject(cornerShape)).min(1),
};

/** How far the circuit may differ in length from the one a map was made for, m. */
const LENGTH_TOLERANCE_M = 0.5;

/** Reads a phase map and checks that its windows tile the lap. */
export function readPhaseMap(
  text: string,
  file: string,
  lengthM: number,
): { map: PhaseMap | null; problems: Problem[] } {
  const yaml = new Yaml(text, file);
  const { value, problems } = yaml.checked(z.strictObject(shape), (path) =>
    path[0] === 'corners' ? Object.keys(cornerShape) : Object.keys(shape),
  );
  if (value === null) return { map: null, problems };
  const invalid = (path: PropertyKey[], found: string, expected: string, remedy: string): void =>
    void problems.push({
      code: 'PHASES_INVALID',
      severity: 'stop',
      place: { file, line: yaml.line(path), key: path.join('.') },
      found,
      expected,
      remedy,
    });
  if (Math.abs(value.lengthM - lengthM) > LENGTH_TOLERANCE_M)
    invalid(
      ['lengthM'],
      `a map for a lap of ${value.lengthM.toFixed(1)} m`,
      `${lengthM.toFixed(1)} m, the length of the circuit`,
      'the reference line or the gate has changed: make a new map with `gapbook new phases`',
    );
  const n = value.corners.length;
  let round = 0;
  value.corners.forEach((corner, i) => {
    const next = value.corners[(i + 1) % n]!;
    const steps = [corner.a, corner.b, corner.r, corner.p, next.a];
    const names = ['a', 'b', 'r', 'p', `a of corner ${next.name}`];
    for (const at of steps)
      if (at < 0 || at >= lengthM)
        invalid(['corners', i], `station ${at}`, `stations from 0 to ${lengthM.toFixed(1)}`, 'correct the station');
    for (let k = 0; k < 4; k++) {
      const ahead = steps[k + 1]! - steps[k]!;
      const step =
        n === 1 && k === 3
          ? lengthM - ((steps[3]! - steps[0]! + lengthM) % lengthM)
          : ahead < 0
            ? ahead + lengthM
            : ahead;
      round += step;
      if (step > lengthM / 2 && n > 1)
        invalid(
          ['corners', i],
          `corner ${corner.name}: ${names[k + 1]} (${steps[k + 1]}) before ${names[k]} (${steps[k]})`,
          'a, b, r, p and the a of the next corner in rising order',
          'correct the stations of this corner',
        );
    }
  });
  if (problems.length === 0 && Math.abs(round - lengthM) > 1e-6)
    invalid(
      ['corners'],
      `windows that cover ${(round / lengthM).toFixed(2)} laps`,
      'corners in the order of the lap',
      'sort the corners by station',
    );
  // The file holds the length in millimetres; the cells must tile the circuit's own to the last bit.
  return { map: problems.some((p) => p.code === 'PHASES_INVALID') ? null : { ...value, lengthM }, problems };
}

/** The phase map as a file for people: one line a corner, the meaning of the letters on top. */
export function phaseMapText(map: PhaseMap): string {
  const m = (value: number): string => value.toFixed(1);
  const rows = map.corners.map(
    (c) =>
      `  - { name: ${JSON.stringify(c.name)}, direction: ${c.direction}, entryM: ${m(c.entryM)}, exitM: ${m(c.exitM)}, radiusM: ${m(c.radiusM)}, brakes: ${c.brakes}, a: ${m(c.a)}, b: ${m(c.b)}, r: ${m(c.r)}, p: ${m(c.p)} }`,
  );
  return `# Phase map: where braking, apex and drive of each corner begin. Stations in metres from the gate.
# a  earliest admissible brake onset    b  brake onset of the reference (median)
# r  its end of braking                 p  its pick-up of the throttle
# braking runs from the earliest of b and the two riders' own onsets (not before a) to r, apex from r to p, drive from p to the next a.
# Made by the tool, to be reviewed by a person. After an edit raise the version: the ledger names it.
version: ${map.version}
circuit: ${JSON.stringify(map.circuit)}
lengthM: ${map.lengthM.toFixed(3)}
madeFrom: ${JSON.stringify(map.madeFrom)}
corners:
${rows.join('\n')}
`;
}
