import {
  bend,
  type Course,
  closeCourse,
  courseFromPieces,
  easing,
  type NamedBend,
  type Piece,
  straight,
} from './course.ts';
import type { Place } from './planeToEarth.ts';
import { softBlend } from './smooth.ts';

/** A circuit of our own, with the ground it lies on. */
export interface Circuit {
  readonly id: string;
  readonly name: string;
  readonly origin: Place;
  readonly course: Course;
  readonly bends: readonly NamedBend[];
  readonly halfWidthM: number;
  readonly gateHalfM: number;
  /** Offset of the pit lane from the centre line along the main straight, m, positive left. */
  readonly pitOffsetM: number;
}

type Row = readonly [name: string | null, pieces: readonly Piece[]];

/** Two arcs with a wider stretch between them, ridden as one bend with two apexes. */
function doubleApex(angleDeg: number, radiusM: number, wideM: number): Piece[] {
  const side = Math.sign(angleDeg);
  const [tight, wide] = [side / radiusM, side / wideM];
  const [ends, inner, middleM] = [24, 18, 22];
  const turnedInner = inner * ((tight + wide) / 2) * 2 + wide * middleM;
  const arcs = (Math.abs(angleDeg) * Math.PI) / 180 - Math.abs(turnedInner) - Math.abs(tight) * ends;
  const arcM = arcs / 2 / Math.abs(tight);
  return [
    easing(ends, 0, tight),
    easing(arcM, tight, tight),
    easing(inner, tight, wide),
    easing(middleM, wide, wide),
    easing(inner, wide, tight),
    easing(arcM, tight, tight),
    easing(ends, tight, 0),
  ];
}

/** Clockwise; bends are numbered from the gate. The lengths of two straights are found by closing the course. */
const ROWS: readonly Row[] = [
  [null, [straight(375)]],
  ['1', bend(-88, 28, 24)],
  [null, [straight(150)]],
  ['2', bend(52, 46, 26)],
  [null, [straight(170)]],
  ['3', bend(-184, 13.5, 15)],
  [null, [straight(235)]],
  ['4', bend(94, 28, 24)],
  [null, [straight(262)]],
  ['5', bend(-16, 280, 30)],
  [null, [straight(312)]],
  ['6', doubleApex(-128, 30, 105)],
  [null, [straight(150)]],
  ['7', bend(60, 23, 23.5)],
  [null, [straight(10)]],
  ['8', bend(-66, 23, 25)],
  [null, [straight(150)]],
  ['9', bend(55, 46, 28)],
  [null, [straight(145)]],
  ['10', bend(-80, 32, 26)],
  [null, [straight(75)]],
  ['11', bend(-59, 30, 24)],
  [null, [straight(230)]],
];

/** Indices in ROWS of the two straights that close the course. */
const CLOSING = [12, 22] as const;

function layout(): { pieces: Piece[]; bends: NamedBend[] } {
  const pieces: Piece[] = [];
  const starts: number[] = [];
  for (const [, part] of ROWS) {
    starts.push(pieces.length);
    pieces.push(...part);
  }
  const closed = closeCourse(pieces, starts[CLOSING[0]]!, starts[CLOSING[1]]!);
  const bends: NamedBend[] = [];
  let stationM = 0;
  ROWS.forEach(([name, part], row) => {
    const lengthM = part.reduce((sum, _, i) => sum + closed[starts[row]! + i]!.lengthM, 0);
    if (name !== null) bends.push({ name, fromM: stationM, toM: stationM + lengthM });
    stationM += lengthM;
  });
  return { pieces: closed, bends };
}

/** Climb of 20 m out of the hairpin to the far end of the circuit, and the long way down from there. */
function altitude(stationM: number, lengthM: number): number {
  const up = softBlend((stationM - 0.29 * lengthM) / (0.24 * lengthM));
  const down = softBlend((stationM - 0.6 * lengthM) / (0.3 * lengthM));
  return 2.5 + 20 * (up - down);
}

/** The demo's circuit: about three kilometres on an open plain beside the sea. */
export function saltmarsh(): Circuit {
  const { pieces, bends } = layout();
  return {
    id: 'saltmarsh',
    name: 'Saltmarsh',
    origin: { latDeg: 43.3608, lonDeg: 4.7612, altM: 2.5 },
    course: courseFromPieces(pieces, altitude),
    bends,
    halfWidthM: 6,
    gateHalfM: 9,
    pitOffsetM: 19,
  };
}
