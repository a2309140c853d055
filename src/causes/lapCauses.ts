import type { AlignedLap } from '../align/alignLap.ts';
import { onTimeline } from '../align/channel.ts';
import type { PhaseMap } from '../circuit/phases.ts';
import type { CornerTechnique } from '../technique/technique.ts';
import { aumannShapley } from './aumannShapley.ts';
import { carryOver, type Link } from './carryOver.ts';
import { GROUPS, type GroupKey } from './cause.ts';
import { type Described, describePair, type RiderEvents, type Side, START_REACH } from './describe.ts';
import { drawnEnvelope, drawnSide, type LapDoubt, lapDoubt, speedScatterMps } from './doubt.ts';
import type { Envelope, MachineShare } from './envelope.ts';
import type { FittedEnvelope } from './fitEnvelope.ts';
import type { Ingredients } from './ingredients.ts';
import { lengthAndSpeed } from './lengthAndSpeed.ts';
import { CAUSES, type CauseKey } from './list.ts';
import { believable, plainSplit } from './plainSplit.ts';
import { recompose, timeOf } from './recompose.ts';
import { cellsIn, type Ridden, riddenOn } from './ridden.ts';
import type { CauseWindow, LapCauses, Refusal, Untold } from './schema.ts';
import { seededNormals } from './seeded.ts';
import { Mixtures, type Split, shares, split } from './split.ts';
import { upshifts } from './upshifts.ts';
import { type CornerWindow, windowsOf } from './windows.ts';

/** What the session says of a machine with who rides it. */
export interface MachineData {
  readonly massKg: number;
  readonly powerW: number;
  /** Drag area times half the density of the air, kg/m; null where not known. */
  readonly dragKgPerM: number | null;
}

export interface CauseOptions {
  /** How often to repeat with what is not known drawn anew; 0 for no intervals. */
  readonly draws?: number;
  /** Of the lap and of the reference. */
  readonly machines?: { readonly lap: MachineData; readonly reference: MachineData } | null;
  /** Cells are about this long on a lap of 3 km, m. */
  readonly stepM?: number;
}

/** Repetitions: few enough for a second a lap, so many that the width of an interval is known to a sixth. */
export const DRAWS = 20;
/** Repetitions have cells so many times as long. */
const DRAW_STEPS = 2.5;
/** Half the width of a 90 % interval in standard deviations of a normal. */
const WIDTH_90 = 1.645;
/** Above this ratio of sizes to sum only the groups mean anything. */
export const ILL_CONDITIONED = 5;
/** Pairs of groups that act together by more than this share of both are named. */
const TOGETHER_SHARE = 0.3;
const TOGETHER_LEAST_S = 0.005;
/** Points near the drive frontier that a split of pick-up from drive needs. */
const LEAST_SUPPORT = 30;
/** A member is told apart if it is known to so many seconds, or to such a share of its group … */
const SEPARABLE_S = 0.012;
const SEPARABLE_SHARE = 0.2;
/** … or hardly worse than its group. */
const TRADED = 1.3;
/** A stretch shorter than so many times what its start is taken from does not tell what was brought along from drive. */
const LEAST_REACHES = 3;
/** A gear change takes so long on either side of where the gear is in, s. */
const EDGE_S = 0.5;
/** Beside a cause's own {@link Cause.offShare}: a share of everything that moves beside it, and a rest. */
const MODEL_OTHERS = 0.012;
const MODEL_REST_S = 0.0015;

const CARRY = CAUSES.findIndex(({ key }) => key === 'carry');

/** A stretch with all that its split needs. */
interface Stretch {
  readonly window: CornerWindow;
  readonly sides: readonly [Side, Side];
  readonly doubts: readonly [LapDoubt, LapDoubt];
  readonly scatter: readonly [number, number];
  readonly wholeCorner: boolean;
}

/**
 * Splits the gap of a lap to the reference by cause, corner by corner. Sums are exact: the causes of a window sum to its
 * gap, the windows to the lap's.
 *
 * @param own,other technique of both laps under the rules that both allow
 * @param fitted what both riders have shown they can do
 * @returns null where there is no window that both laps covered
 */
export function lapCauses(
  lap: AlignedLap,
  reference: AlignedLap,
  map: PhaseMap,
  own: readonly CornerTechnique[],
  other: readonly CornerTechnique[],
  fitted: FittedEnvelope,
  options: CauseOptions = {},
): LapCauses | null {
  const { draws = 0, machines = null, stepM = 1 } = options;
  const machine = machineShares(machines, fitted.envelope.dragPerM);
  const stretches = windowsOf(map).flatMap((window): Stretch[] => {
    const made = stretchOf(window, lap, reference, own, other, machine, stepM);
    return made ? [made] : [];
  });
  if (stretches.length === 0) return null;

  const described = stretches.map((s) => describe(s, s.sides, fitted.envelope));
  const plain = stretches.map(() => false);
  const splits = described.map((d, k): Split => {
    const own = split(d, fitted.envelope);
    plain[k] = !believable(own, stretches[k]!.sides);
    return plain[k] ? plainSplit(stretches[k]!.sides) : own;
  });
  const links = described.map(
    (d, k): Link => ({ ...splits[k]!, perEnergyS: plain[k] ? 0 : perEnergyS(d, fitted.envelope) }),
  );
  const made = carryOver(links, CARRY);
  const coarse = (): Stretch[] =>
    stretches.map(({ window }) => stretchOf(window, lap, reference, own, other, machine, DRAW_STEPS * stepM)!);
  const drawn = draws > 0 ? repeated(coarse(), fitted, links, plain, draws, seedOf(lap, reference)) : null;

  const windows = stretches.map((s, k) =>
    windowResult(
      s,
      plain[k] ? { ...described[k]!, flags: [...described[k]!.flags, 'not described' as const] } : described[k]!,
      splits[k]!,
      made[k]!,
      drawn && { own: drawn.own[k]!, made: drawn.made[k]! },
      fitted,
      laterS(links, splits[k]!, k),
    ),
  );
  const totals = Float64Array.from(CAUSES, (_, c) => made.reduce((sum, charged) => sum + charged[c]!, 0));
  const doubts = drawn && spreadOf(drawn.lap, totals);
  const groupDoubts = drawn && spreadOfGroups(drawn.lap, totals);
  return {
    gapS: windows.reduce((sum, w) => sum + w.gapS, 0),
    windows,
    groups: GROUPS.map((group, i) => ({ group, ...between(sumOf(totals, group), groupDoubts?.[i]) })),
    causes: CAUSES.map(({ key, group }, i) => ({ cause: key, group, ...between(totals[i]!, doubts?.[i]) })),
    untold: untoldOf(lap, reference, own, other, machines !== null),
    draws,
  };
}

/** Drag at v is v² times this; undefined where the session does not say. */
export function dragPerMOf({ massKg, dragKgPerM }: MachineData): number | undefined {
  return dragKgPerM === null ? undefined : dragKgPerM / massKg;
}

function machineShares(machines: CauseOptions['machines'], dragPerM: number): readonly [MachineShare, MachineShare] {
  const equal = { powerScale: 1, dragPerM };
  if (!machines) return [equal, equal];
  const { lap, reference } = machines;
  const scale = lap.powerW / lap.massKg / (reference.powerW / reference.massKg);
  const known = lap.dragKgPerM !== null && reference.dragKgPerM !== null;
  const drag = (of: MachineData): number => (known ? dragPerMOf(of)! : dragPerM);
  // The power of the pooled envelope is what the stronger machine showed.
  return [
    { powerScale: Math.min(1, scale), dragPerM: drag(lap) },
    { powerScale: Math.min(1, 1 / scale), dragPerM: drag(reference) },
  ];
}

function stretchOf(
  window: CornerWindow,
  lap: AlignedLap,
  reference: AlignedLap,
  own: readonly CornerTechnique[],
  other: readonly CornerTechnique[],
  machine: readonly [MachineShare, MachineShare],
  stepM: number,
): Stretch | null {
  const { fromM, toM, corner } = window;
  if (toM > Math.min(lap.coveredM, reference.coveredM) || !(toM > fromM)) return null;
  const cells = cellsIn(fromM, toM, lap.run.circuit.lengthM, stepM);
  const a = riddenOn(lap, fromM, toM, cells);
  const b = riddenOn(reference, fromM, toM, cells);
  if (!a || !b) return null;
  const shifted = [lap, reference].map(upshifts);
  const gears = shifted.every((s) => s !== null);
  const doubt = (ridden: Ridden, of: AlignedLap): LapDoubt => {
    const { sigmaM, shiftSigmaM } = of.run.trace.quality;
    return lapDoubt(ridden, sigmaM, shiftSigmaM, corner.entryM, corner.exitM);
  };
  const doubts = [doubt(a, lap), doubt(b, reference)] as const;
  const sides = [
    {
      ridden: a,
      events: eventsOf(window, own, gears ? shifted[0]! : null),
      machine: machine[0],
      bendSigma: doubts[0].bendShare,
    },
    {
      ridden: b,
      events: eventsOf(window, other, gears ? shifted[1]! : null),
      machine: machine[1],
      bendSigma: doubts[1].bendShare,
    },
  ] as const;
  const wholeCorner =
    window.part === null || (corner.entryM <= corner.exitM && corner.entryM >= fromM && corner.exitM <= toM);
  return {
    window,
    sides,
    doubts,
    scatter: [speedScatterMps(sides[0]), speedScatterMps(sides[1])],
    wholeCorner,
  };
}

/** Events of a corner that lie in its window. */
function eventsOf(
  { corner, fromM, toM }: CornerWindow,
  measured: readonly CornerTechnique[],
  upshiftsM: readonly number[] | null,
): RiderEvents {
  const t = measured.find((x) => x.corner === corner.name);
  return {
    brakeOnsetM: t?.brakeOnsetM ?? null,
    // Who opens the throttle behind the window only does so at its end, as far as the window goes.
    pickUpM: t?.pickUpM == null ? null : Math.min(t.pickUpM, toM),
    upshiftsM: upshiftsM?.filter((s) => s >= fromM && s < toM) ?? null,
    upshiftsNearM: upshiftsM,
  };
}

function describe({ window, wholeCorner }: Stretch, [a, b]: readonly [Side, Side], envelope: Envelope): Described {
  return describePair(a, b, window.corner.entryM, window.corner.exitM, wholeCorner, envelope);
}

/** Seconds a unit of energy at the start, from both laps, by a small change of it. */
function perEnergyS({ a, b, plan, floor }: Described, envelope: Envelope): number {
  const out = new Float64Array(plan.cells);
  const step = 0.01 * (a.energy0 + b.energy0);
  const changed = (own: Ingredients, by: number): number => {
    const other = { ...own, energy0: own.energy0 + by };
    recompose(plan, other, envelope, out);
    return timeOf(other, out, plan.stepM, floor);
  };
  return (changed(a, step) - changed(a, -step) + changed(b, step) - changed(b, -step)) / (4 * step);
}

/** Splits repeated with everything that is not known drawn anew. */
function repeated(
  stretches: readonly Stretch[],
  fitted: FittedEnvelope,
  links: readonly Link[],
  plain: readonly boolean[],
  draws: number,
  seed: string,
): { own: Float64Array[][]; made: Float64Array[][]; lap: Float64Array[] } {
  const own = stretches.map((): Float64Array[] => []);
  const made = stretches.map((): Float64Array[] => []);
  const lap: Float64Array[] = [];
  for (let d = 0; d < draws; d++) {
    const envelope = drawnEnvelope(fitted, seededNormals(`${seed}/${d}/envelope`));
    const drawn = stretches.map((s, k): Link => {
      if (plain[k]) return links[k]!;
      const normal = seededNormals(`${seed}/${d}/${s.window.corner.name}/${s.window.fromM.toFixed(1)}`);
      const sides = [
        drawnSide(s.sides[0], s.doubts[0], s.scatter[0], normal),
        drawnSide(s.sides[1], s.doubts[1], s.scatter[1], normal),
      ] as const;
      const { shareS, shareOfEnd } = shares(new Mixtures(describe(s, sides, envelope), envelope));
      return [...shareS, ...shareOfEnd].every(Number.isFinite)
        ? { shareS, shareOfEnd, perEnergyS: links[k]!.perEnergyS }
        : links[k]!;
    });
    const charged = carryOver(drawn, CARRY);
    drawn.forEach(({ shareS }, k) => {
      own[k]!.push(shareS);
      made[k]!.push(charged[k]!);
    });
    lap.push(Float64Array.from(CAUSES, (_, c) => charged.reduce((sum, made) => sum + made[c]!, 0)));
  }
  return { own, made, lap };
}

/** One standard deviation of each cause: of the draws, and of what the description may be off by. */
function spreadOf(draws: readonly Float64Array[], values: Float64Array): number[] {
  return CAUSES.map(({ offShare }, c) =>
    spreadOfOne(
      draws.map((d) => d[c]!),
      values[c]!,
      values,
      offShare,
    ),
  );
}

/** The same of each group. */
function spreadOfGroups(draws: readonly Float64Array[], values: Float64Array): number[] {
  return GROUPS.map((group) =>
    spreadOfOne(
      draws.map((d) => sumOf(d, group)),
      sumOf(values, group),
      values,
      Math.max(...CAUSES.flatMap((cause) => (cause.group === group ? [cause.offShare] : []))),
    ),
  );
}

function sumOf(values: Float64Array, group: GroupKey): number {
  return CAUSES.reduce((sum, cause, i) => (cause.group === group ? sum + values[i]! : sum), 0);
}

function spreadOfOne(draws: readonly number[], value: number, all: Float64Array, offShare: number): number {
  const mean = draws.reduce((sum, v) => sum + v, 0) / draws.length;
  const variance = draws.reduce((sum, v) => sum + (v - mean) ** 2, 0) / Math.max(1, draws.length - 1);
  const moved = all.reduce((sum, v) => sum + Math.abs(v), 0);
  return Math.sqrt(variance + (offShare * value) ** 2 + (MODEL_OTHERS * moved) ** 2 + MODEL_REST_S ** 2);
}

function between(gapS: number, sigma: number | undefined): { gapS: number; lowS: number | null; highS: number | null } {
  return sigma === undefined
    ? { gapS, lowS: null, highS: null }
    : { gapS, lowS: gapS - WIDTH_90 * sigma, highS: gapS + WIDTH_90 * sigma };
}

/** What each mixture's speed at the end changes later on. */
function laterS(links: readonly Link[], { mixtureEnd }: Split, k: number): number[] {
  const next = links[k + 1];
  return Array.from(mixtureEnd, (end) => (next ? next.perEnergyS * (end - mixtureEnd[0]!) : 0));
}

function windowResult(
  { window, sides }: Stretch,
  described: Described,
  { shareS, together, mixtureS }: Split,
  made: Float64Array,
  drawn: { own: Float64Array[]; made: Float64Array[] } | null,
  fitted: FittedEnvelope,
  mixtureLaterS: number[],
  envelope = fitted.envelope,
): CauseWindow {
  const { lengthS, speedS } = lengthAndSpeed(sides[0].ridden, sides[1].ridden);
  const gapS = sides[0].ridden.timeS - sides[1].ridden.timeS;
  // Asked where doubt is asked, too.
  const told = !described.flags.includes('not described');
  const other = drawn && told ? aumannShapley(described, envelope) : null;
  const groupOwn = drawn && spreadOfGroups(drawn.own, shareS);
  const groupLater = drawn && spreadOfGroups(drawn.made, made);
  const groups = GROUPS.map((group, i) => {
    const madeS = sumOf(made, group);
    const later = between(madeS, groupLater?.[i]);
    return {
      group,
      ...between(sumOf(shareS, group), groupOwn?.[i]),
      madeS,
      madeLowS: later.lowS,
      madeHighS: later.highS,
    };
  });
  const own = drawn && spreadOf(drawn.own, shareS);
  const later = drawn && spreadOf(drawn.made, made);
  const sizes = shareS.reduce((all, v) => all + Math.abs(v), 0);
  const total = Math.abs(shareS.reduce((all, v) => all + v, 0));
  const cancellation = total > 0 ? sizes / total : null;
  const illConditioned = cancellation !== null && cancellation > ILL_CONDITIONED;
  const causes = CAUSES.map(({ key, group, says }, i) => {
    const mine = between(shareS[i]!, own?.[i]);
    const withLater = between(made[i]!, later?.[i]);
    return {
      cause: key,
      ...mine,
      madeS: made[i]!,
      madeLowS: withLater.lowS,
      madeHighS: withLater.highS,
      byAnotherRuleS: other && other[i]!,
      refused: refusalOf(
        key,
        group,
        { gapS: made[i]!, lowS: withLater.lowS, highS: withLater.highS },
        groups.find((g) => g.group === group)!,
        illConditioned,
        described,
        fitted,
        sides,
      ),
      fact: told ? says(described.a, described.b, described.plan) : null,
    };
  });
  return {
    corner: window.corner.name,
    part: window.part,
    fromM: window.fromM,
    toM: window.toM,
    gapS,
    lengthS,
    speedS,
    mode: described.plan.mode,
    flags: [...described.flags],
    groups,
    causes,
    cancellation,
    illConditioned,
    together: together
      .filter(({ groups: [g, h], byS }) => {
        const both = Math.abs(sumOf(shareS, g)) + Math.abs(sumOf(shareS, h));
        return Math.abs(byS) > TOGETHER_LEAST_S && Math.abs(byS) > TOGETHER_SHARE * both;
      })
      .map(({ groups: [g, h], byS }) => ({ groups: [g, h] as [GroupKey, GroupKey], byS })),
    mixtureS: [...mixtureS],
    mixtureLaterS,
    otherRuleApartS: other && Math.max(...GROUPS.map((group) => Math.abs(sumOf(other, group) - sumOf(shareS, group)))),
  };
}

interface Interval {
  readonly gapS: number;
  readonly lowS: number | null;
  readonly highS: number | null;
}

/** Why a member is not told from the rest of its group; null where it is, or where the group is all there is. */
function refusalOf(
  key: CauseKey,
  group: GroupKey,
  own: Interval,
  whole: { readonly madeS: number; readonly madeLowS?: number | null; readonly madeHighS?: number | null },
  illConditioned: boolean,
  { plan, a, b }: Described,
  { lean, envelope }: FittedEnvelope,
  sides: readonly [Side, Side],
): Refusal | null {
  const alone = CAUSES.filter((cause) => cause.group === group).length === 1;
  if (alone) return null;
  if (illConditioned) return 'ill-conditioned';
  if (plan.cells < LEAST_REACHES * START_REACH * sides[0].ridden.softCells) return 'too few cells';
  if (group === 'exit' && sides.some(shiftsAtEdge)) return 'gear change at the edge';
  if (plan.mode !== 'driven' && (key === 'pickUp' || key === 'drive')) {
    if (sides.some(({ ridden }) => ridden.throttle === null)) return 'pick-up without throttle';
    const share = (m: typeof a): number => Math.min(1.1, m.lateralMps2 / envelope.lateralMps2);
    if (plan.mode === 'braked') {
      const [low, high] = [Math.min(share(a), share(b)) - 0.2, Math.max(share(a), share(b))];
      const bins = lean.filter(({ fromShare, toShare }) => toShare > low && fromShare < high);
      if (bins.reduce((sum, { onFrontier }) => sum + onFrontier, 0) < LEAST_SUPPORT) return 'drive frontier not shown';
    }
  }
  if (own.gapS === 0 || own.lowS === null || own.highS === null || whole.madeLowS == null || whole.madeHighS == null)
    return null;
  // Members that the data trades off against each other are each far less certain than their sum.
  const half = (own.highS - own.lowS) / 2;
  const halfOfGroup = (whole.madeHighS - whole.madeLowS) / 2;
  return half > Math.max(SEPARABLE_S, SEPARABLE_SHARE * Math.abs(whole.madeS)) && half > TRADED * halfOfGroup
    ? 'not separable'
    : null;
}

/** Whether a gear change is so near an end of its stretch that a part of it lies beyond. */
function shiftsAtEdge({ ridden, events }: Side): boolean {
  const { energy, fromM, stepM } = ridden;
  const toM = fromM + stepM * energy.length;
  const reach = (e: number): number => EDGE_S * Math.sqrt(2 * e);
  return (events.upshiftsNearM ?? []).some(
    (s) => Math.abs(s - fromM) < reach(energy[0]!) || Math.abs(toM - s) < reach(energy.at(-1)!),
  );
}

function untoldOf(
  lap: AlignedLap,
  reference: AlignedLap,
  own: readonly CornerTechnique[],
  other: readonly CornerTechnique[],
  machines: boolean,
): Untold[] {
  const laps = [lap, reference];
  const missing = (name: 'throttle' | 'gear' | 'roll'): boolean =>
    laps.some(({ run }) => onTimeline(run, name) === null);
  const out: Untold[] = [];
  if ([...own, ...other].every(({ rule }) => rule.pickUp !== 'throttle') || missing('throttle'))
    out.push('no throttle: pick-up and drive are one');
  if (missing('gear')) out.push('no gear: gear changes are part of drive');
  if ([...own, ...other].every(({ rule }) => rule.braking !== 'brake'))
    out.push('no brake: braking is read from the speed');
  if (missing('roll')) out.push('no roll: lean is taken from path and speed');
  if (laps.some(({ run }) => run.row[0] === -1)) out.push('no speed: it is taken from the positions');
  if (!machines) out.push('no machine data: power and drag count as equal');
  if (laps.some(({ run }) => run.trace.quality.sigmaM > POOR_SHARE * lap.run.circuit.lengthM))
    out.push('position too poor for the line');
  return out;
}

/** Positions worse than this share of the lap's length (0.2 m on 3 km) do not show how a line bends. */
const POOR_SHARE = 0.2 / 3000;

function seedOf(lap: AlignedLap, reference: AlignedLap): string {
  const name = ({ run, lap: { number } }: AlignedLap): string => `${run.trace.recording.sha256}/${number}`;
  return `${name(lap)} ${name(reference)}`;
}
