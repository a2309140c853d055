import { GROUPS } from './cause.ts';
import type { Side } from './describe.ts';
import { lengthAndSpeed } from './lengthAndSpeed.ts';
import { CAUSES } from './list.ts';
import type { Split } from './split.ts';

/**
 * Groups that cancel each other and add up to more than this share of the time that the stretch takes, and to more than
 * this many times its gap, are no description of two laps.
 */
const MOST_OF_TIME = 0.2;
const MOST_OF_GAP = 5;

/** Whether a split says something of two laps, or only that their description does not fit them. */
export function believable({ shareS, shareOfEnd }: Split, [a, b]: readonly [Side, Side]): boolean {
  if (![...shareS, ...shareOfEnd].every(Number.isFinite)) return false;
  const groups = GROUPS.map((group) => CAUSES.reduce((sum, c, i) => (c.group === group ? sum + shareS[i]! : sum), 0));
  return sensible(groups, a.ridden.timeS, b.ridden.timeS);
}

function sensible(parts: readonly number[], timeA: number, timeB: number): boolean {
  const size = parts.reduce((sum, s) => sum + Math.abs(s), 0);
  return size <= Math.max((MOST_OF_TIME * (timeA + timeB)) / 2, MOST_OF_GAP * Math.abs(timeA - timeB));
}

/**
 * What can be said without a description: the longer way, and as residual the lower speed; where not even the way is
 * known, as where a line is cut inside of its centre of curvature, all is residual. Exact as any split.
 */
export function plainSplit([a, b]: readonly [Side, Side]): Split {
  const way = lengthAndSpeed(a.ridden, b.ridden);
  const { lengthS, speedS } = sensible([way.lengthS, way.speedS], a.ridden.timeS, b.ridden.timeS)
    ? way
    : { lengthS: 0, speedS: a.ridden.timeS - b.ridden.timeS };
  const of = (line: number, residual: number): Float64Array =>
    Float64Array.from(CAUSES, ({ key }) => (key === 'lineLength' ? line : key === 'residual' ? residual : 0));
  const [endA, endB] = [a.ridden.energy.at(-1)!, b.ridden.energy.at(-1)!];
  // Of the choices (line, entry, apex, exit) only the line's is known.
  const mixtureS = Float64Array.from({ length: 16 }, (_, m) => a.ridden.timeS - (m & 1 ? lengthS : 0));
  return {
    shareS: of(lengthS, speedS),
    shareOfEnd: of(0, endA - endB),
    together: [],
    mixtureS,
    mixtureEnd: new Float64Array(16).fill(endA),
  };
}
