import type { AlignedLap } from '../../src/align/alignLap.ts';
import { CAUSES, type CauseKey } from '../../src/causes/list.ts';
import type { CauseWindow, LapCauses } from '../../src/causes/schema.ts';
import { type Case, FACTORS, type Factor } from './generator/cases.ts';
import type { Circuit as Ground } from './generator/courses.ts';
import { draws } from './generator/draws.ts';
import { referenceWay, rideOf } from './generator/laps.ts';
import { logOf } from './generator/sense.ts';
import { lost } from './generator/truth.ts';
import { causesOf, circuitOf, type Known, known, layLap } from './throughPipeline.ts';

/** Which causes of the product are which factor of the generator. */
const OWN: Record<Factor, readonly CauseKey[]> = {
  onset: ['onset'],
  intensity: ['intensity'],
  grip: ['grip'],
  // Judged as line and apex: a line makes the corner's speed.
  line: ['lineLength', 'lineShape', 'grip'],
  'pick-up': ['pickUp'],
  drive: ['drive'],
  shifts: ['shifts'],
};
/** Bars of the method: shares of the true difference, and seconds. */
const OWN_SHARE = 0.15;
const OWN_LEAST_S = 0.01;
const LINE_LEAST_S = 0.015;
const LEAK_SHARE = 0.1;
const LEAK_LEAST_S = 0.01;
/** Laps that show what can be done, beside those of the case. */
const POOL_LAPS = 6;

/** What became of one case. Seconds. */
export interface Outcome {
  readonly id: string;
  readonly factor: Factor | null;
  readonly where: string;
  readonly change: string;
  /** True difference that the factor made, from its corner's window to the end of the lap. */
  readonly trueS: number;
  /** Found for the factor, with what it costs in later corners. */
  readonly foundS: number;
  /** The largest of what other causes were given in the factor's windows and the one behind them. */
  readonly leakS: number;
  readonly leakTo: string;
  readonly ownWithin: boolean;
  readonly leakWithin: boolean;
  /** The same without what the product itself does not tell from noise. */
  readonly claimedWithin: boolean;
  /** Whether the 90 % interval of the factor holds the truth; for like laps the share of causes whose interval holds 0. */
  readonly covered: number;
  readonly halfWidthS: number;
  /** Judged by its group, because the product says that it does not tell the members apart here. */
  readonly grouped: boolean;
  /** Product's lap gap minus the true one. */
  readonly gapErrorS: number;
  readonly windows: LapCauses['windows'];
}

/** Runs cases through the product; what belongs to a circuit is made once. */
export class Recovery {
  readonly #known = new Map<Ground, Known>();
  readonly #draws: number;

  /** @param intervalDraws repetitions for intervals; 0 for none */
  constructor(intervalDraws: number) {
    this.#draws = intervalDraws;
  }

  pair(one: Case): { lap: AlignedLap; reference: AlignedLap; known: Known } {
    const knownHere = this.known(one.circuit);
    const { circuit } = knownHere;
    const { robotLogger, referenceLogger, id } = one;
    const lap = layLap({ columns: logOf(one.robot().ride, robotLogger, `robot ${id}`), logger: robotLogger }, circuit);
    const reference = layLap(
      { columns: logOf(one.reference(), referenceLogger, `reference ${id}`), logger: referenceLogger },
      circuit,
    );
    return { lap, reference, known: knownHere };
  }

  run(one: Case): Outcome {
    const { lap, reference, known: knownHere } = this.pair(one);
    return judged(one, causesOf(lap, reference, knownHere, { draws: this.#draws }), knownHere);
  }

  /** Phase map and envelope from other laps than those that are judged, ridden with the scatter of a person. */
  known(ground: Ground): Known {
    let made = this.#known.get(ground);
    if (!made) {
      const circuit = circuitOf(ground.course);
      const { way } = referenceWay(ground);
      const random = draws(`pool ${ground.course.name}`);
      const laps = Array.from({ length: POOL_LAPS }, (_, k) => {
        const controls = way.controls.map((own) => ({
          ...own,
          marginM: own.marginM + Math.abs(1.5 * random.normal()),
          intensity: own.intensity * (1 + 0.02 * random.normal()),
          grips: own.grips.map((grip) => grip * (1 - Math.abs(0.015 * random.normal()))),
          pickUpM: own.pickUpM + Math.abs(1.5 * random.normal()),
          drive: own.drive * (1 - Math.abs(0.01 * random.normal())),
        }));
        const logger = {
          rateHz: 100,
          armM: [0.1, 0, 0.9] as const,
          toldArmM: [0.1, 0, 0.9] as const,
          latencyS: 0.03,
          toldLatencyS: 0.03,
          speedLagS: 0.006,
          controlLagS: 0.005,
          inertialLagS: 0.005,
          noise: 1,
        };
        const columns = logOf(rideOf(ground, { ...way, controls }), logger, `pool ${ground.course.name} ${k}`);
        return layLap({ columns, logger }, circuit);
      });
      made = known(circuit, laps);
      this.#known.set(ground, made);
    }
    return made;
  }
}

/** Windows that a factor of a passage acts in, in the order of the ride: those behind the gate may come last. */
function ownWindows(
  { id, circuit, passage, factor }: Case,
  windows: readonly CauseWindow[],
  lengthM: number,
): number[] {
  const { course, passages } = circuit;
  const scale = lengthM / course.lengthM;
  const holding = (name: string): number => {
    const apex = course.apexes.find((a) => a.name === name)!;
    const middleM = (scale * (apex.fromM + apex.toM)) / 2;
    return windows.findIndex(({ fromM, toM }) => middleM >= fromM && middleM < toM);
  };
  const all = [...new Set(passages[passage]!.apexes.map(holding))];
  const [first = -1] = all;
  const last = all.at(-1) ?? -1;
  if (all.includes(-1)) throw new Error(`no window for ${id}`);
  if (factor === 'onset' || factor === 'intensity') return [first];
  if (factor === 'pick-up') return [last];
  if (factor !== 'drive' && factor !== 'shifts') return all;
  // Drive and gear changes go on until the next brakes, which lie in the window of the next corner.
  const out = [last];
  do out.push((out.at(-1)! + 1) % windows.length);
  while (windows[out.at(-1)!]!.corner === windows[last]!.corner || windows[out.at(-1)!]!.part === 'to gate');
  return out;
}

/** A line of a window as the product tells it: a cause, or a group whose members it does not tell apart. */
interface Line {
  readonly keys: readonly string[];
  readonly madeS: number;
  readonly lowS: number;
  readonly highS: number;
}

function linesOf({ causes, groups }: CauseWindow): Line[] {
  return groups.flatMap(({ group, madeS, madeLowS, madeHighS }): Line[] => {
    const members = causes.filter(({ cause }) => CAUSES.find(({ key }) => key === cause)!.group === group);
    const line = (keys: string[], s: number, l: number | null | undefined, h: number | null | undefined): Line => ({
      keys,
      madeS: s,
      lowS: l ?? s,
      highS: h ?? s,
    });
    return members.some(({ refused }) => refused)
      ? [
          line(
            members.map(({ cause }) => cause),
            madeS,
            madeLowS,
            madeHighS,
          ),
        ]
      : members.map((c) => line([c.cause], c.madeS, c.madeLowS, c.madeHighS));
  });
}

function judged(one: Case, causes: LapCauses, knownHere: Known): Outcome {
  const { factor, circuit, passage } = one;
  const { course, passages } = circuit;
  const { windows } = causes;
  const scale = course.lengthM / knownHere.circuit.lengthM;
  const { ride, change } = one.robot();
  const truth = windows.map(({ fromM, toM }) => lost(ride, one.reference(), fromM * scale, toM * scale));
  const own = ownWindows(one, windows, knownHere.circuit.lengthM);
  const first = own[0]!;
  const over = own.some((w) => w < first);
  const keys: readonly string[] = factor === null ? [] : OWN[factor];
  const lines = windows.map(linesOf);
  // What it costs later in the lap is its too. What the lap before it cost came over the gate, and counts where the
  // factor itself reaches over the gate.
  const trueS = truth.reduce((sum, t, w) => (over || w >= first ? sum + t : sum), 0);
  // Between two windows of one passage, and over the gate, speed is brought along.
  const carried = (w: number): boolean => w !== first && own.includes(w);
  const behind = Math.max(...own.filter((w) => !over || w < first)) + 1;
  const region = behind < windows.length ? [...own, behind] : own;
  let [foundS, low, high] = [0, 0, 0];
  let grouped = false;
  let [leakS, leakTo, claimedS] = [0, '', 0];
  for (const w of region)
    for (const line of lines[w]!) {
      const its = line.keys.some((key) => keys.includes(key)) || (carried(w) && line.keys.includes('carry'));
      if (own.includes(w) && its) {
        foundS += line.madeS;
        if (line.keys.some((key) => keys.includes(key))) {
          low += (line.madeS - line.lowS) ** 2;
          high += (line.highS - line.madeS) ** 2;
          if (line.keys.length > 1) grouped = true;
        }
        continue;
      }
      if (Math.abs(line.madeS) > Math.abs(leakS))
        [leakS, leakTo] = [line.madeS, `${line.keys.join('+')}${own.includes(w) ? '' : ' behind'}`];
      const noise = line.lowS < line.highS && line.lowS <= 0 && line.highS >= 0;
      if (!noise) claimedS = Math.max(claimedS, Math.abs(line.madeS));
    }
  const least = factor === 'line' ? LINE_LEAST_S : OWN_LEAST_S;
  const size = Math.abs(trueS);
  const leakBar = Math.max(LEAK_SHARE * size, factor === 'line' ? LINE_LEAST_S : LEAK_LEAST_S);
  const zeroes = own.flatMap((w) => lines[w]!.filter((line) => line.lowS < line.highS && line.madeS !== 0));
  return {
    id: one.id,
    factor,
    where: `${course.name} ${passages[passage]!.name} (${passages[passage]!.kind}, as ${windows[first]!.mode})`,
    change,
    trueS,
    foundS,
    leakS,
    leakTo,
    ownWithin: factor === null || Math.abs(foundS - trueS) <= Math.max(OWN_SHARE * size, least),
    leakWithin: Math.abs(leakS) <= leakBar,
    claimedWithin: claimedS <= leakBar,
    covered:
      factor === null
        ? zeroes.filter((line) => line.lowS <= 0 && line.highS >= 0).length / Math.max(1, zeroes.length)
        : Number(trueS >= foundS - Math.sqrt(low) && trueS <= foundS + Math.sqrt(high)),
    halfWidthS: (Math.sqrt(low) + Math.sqrt(high)) / 2,
    grouped,
    gapErrorS: causes.gapS - lost(ride, one.reference(), 0, course.lengthM),
    windows,
  };
}

/** One row of the table: a factor, or the pairs of like laps. */
export interface Row {
  readonly factor: Factor | 'like laps';
  readonly cases: number;
  readonly ownWithin: number;
  readonly leakWithin: number;
  readonly bothWithin: number;
  readonly covered: number;
  readonly medianErrorS: number;
  readonly worstErrorS: number;
  readonly medianLeakS: number;
  readonly worstLeakS: number;
  readonly medianHalfWidthS: number;
  readonly grouped: number;
  readonly claimedWithin: number;
}

export function tableOf(outcomes: readonly Outcome[]): Row[] {
  return [...FACTORS, null].flatMap((factor): Row[] => {
    const own = outcomes.filter((o) => o.factor === factor);
    if (own.length === 0) return [];
    const share = (holds: (o: Outcome) => number | boolean): number =>
      own.reduce((sum, o) => sum + Number(holds(o)), 0) / own.length;
    const sorted = (of: (o: Outcome) => number): number[] => own.map((o) => Math.abs(of(o))).sort((a, b) => a - b);
    const errors = sorted((o) => o.foundS - o.trueS);
    const leaks = sorted((o) => o.leakS);
    const widths = sorted((o) => o.halfWidthS);
    const middle = own.length >> 1;
    return [
      {
        factor: factor ?? 'like laps',
        cases: own.length,
        ownWithin: share((o) => o.ownWithin),
        leakWithin: share((o) => o.leakWithin),
        bothWithin: share((o) => o.ownWithin && o.leakWithin),
        covered: share((o) => o.covered),
        medianErrorS: errors[middle]!,
        worstErrorS: errors.at(-1)!,
        medianLeakS: leaks[middle]!,
        worstLeakS: leaks.at(-1)!,
        medianHalfWidthS: widths[middle]!,
        grouped: share((o) => o.grouped),
        claimedWithin: share((o) => o.ownWithin && o.claimedWithin),
      },
    ];
  });
}

/** The table as text. */
export function tableText(outcomes: readonly Outcome[]): string {
  const percent = (x: number): string => `${(100 * x).toFixed(0)} %`.padStart(6);
  const ms = (x: number): string => (1000 * x).toFixed(1).padStart(7);
  const head =
    'factor      cases  within  own    leak   claims cover  error ms median/worst  leak ms median/worst  half width  by group';
  const rows = tableOf(outcomes).map((r) =>
    [
      r.factor.padEnd(11),
      String(r.cases).padStart(5),
      percent(r.bothWithin),
      percent(r.ownWithin),
      percent(r.leakWithin),
      percent(r.claimedWithin),
      percent(r.covered),
      `    ${ms(r.medianErrorS)} ${ms(r.worstErrorS)}`,
      `    ${ms(r.medianLeakS)} ${ms(r.worstLeakS)}`,
      `    ${ms(r.medianHalfWidthS)}`,
      `  ${percent(r.grouped)}`,
    ].join(' '),
  );
  const within = outcomes.filter((o) => o.ownWithin && o.leakWithin).length;
  const all = `all: ${within} of ${outcomes.length} within the bars (${((100 * within) / outcomes.length).toFixed(1)} %, wanted 90 %)`;
  const claims = outcomes.filter((o) => o.ownWithin && o.claimedWithin).length;
  const told = `${((100 * claims) / outcomes.length).toFixed(1)} % where leaks that are not told from noise do not count (claims); by group: judged by the group where its members are not told apart`;
  return [head, ...rows, all, told].join('\n');
}
