import { GROUPS, type GroupKey } from './cause.ts';
import type { Described } from './describe.ts';
import type { Envelope } from './envelope.ts';
import type { Ingredients } from './ingredients.ts';
import { CAUSES } from './list.ts';
import { owen } from './owen.ts';
import { recompose, timeOf } from './recompose.ts';

/** A stretch's gap by cause. Arrays run along {@link CAUSES}. */
export interface Split {
  /** (causes,) s; their sum is the gap. */
  readonly shareS: Float64Array;
  /** (causes,) m²/s²; their sum is the difference of the energies at the end. */
  readonly shareOfEnd: Float64Array;
  /** What two groups do together beyond what each does alone, s. */
  readonly together: readonly { readonly groups: readonly [GroupKey, GroupKey]; readonly byS: number }[];
  /** Time with any choice of {@link CHOICES} from the reference, bit by bit. */
  readonly mixtureS: Float64Array;
  /** Energy at the end for each of them. */
  readonly mixtureEnd: Float64Array;
}

/** Groups that a reader may take from the reference: what a rider does, not what the stretch before or chance brings. */
const CHOICES = ['line', 'entry', 'apex', 'exit'] as const satisfies readonly GroupKey[];

/** Groups of players, by index in {@link CAUSES}. */
const MEMBERS: readonly (readonly number[])[] = GROUPS.map((group) =>
  CAUSES.flatMap((cause, i) => (cause.group === group ? [i] : [])),
);
const RESIDUAL = CAUSES.findIndex(({ key }) => key === 'residual');

/** The two-lap game of a stretch: time, and energy at the end, of any mixture. Worths are kept. */
export class Mixtures {
  readonly #described: Described;
  readonly #envelope: Envelope;
  readonly #into: Ingredients;
  readonly #out: Float64Array;
  readonly #time: Float64Array;
  readonly #end: Float64Array;
  /** Causes that differ; the others have no part in it. */
  readonly active: readonly number[];
  readonly #activeMask: number;

  constructor(described: Described, envelope: Envelope) {
    const { a, b, plan } = described;
    this.#described = described;
    this.#envelope = envelope;
    this.#into = { ...b };
    this.#out = new Float64Array(plan.cells);
    this.#time = new Float64Array(1 << CAUSES.length).fill(Number.NaN);
    this.#end = new Float64Array(1 << CAUSES.length);
    this.active = CAUSES.flatMap((cause, i) => (cause.differs(a, b) ? [i] : []));
    this.#activeMask = this.active.reduce((mask, i) => mask | (1 << i), 0);
  }

  /** Time with the causes of a mask taken from the lap and the others from the reference, s. */
  timeS(mask: number): number {
    const key = mask & this.#activeMask;
    if (Number.isNaN(this.#time[key]!)) this.#put(key);
    return this.#time[key]!;
  }

  /** Energy in the last cell of the same mixture. */
  end(mask: number): number {
    this.timeS(mask);
    return this.#end[mask & this.#activeMask]!;
  }

  #put(mask: number): void {
    const { a, b, plan, floor } = this.#described;
    const into = this.#into;
    for (let i = 0; i < CAUSES.length; i++) CAUSES[i]!.mix(a, b, (mask >> i) & 1, into);
    recompose(plan, into, this.#envelope, this.#out);
    // One recomposition serves both residuals.
    for (const bit of this.#activeMask & (1 << RESIDUAL) ? [0, 1] : [(mask >> RESIDUAL) & 1]) {
      const key = bit ? mask | (1 << RESIDUAL) : mask & ~(1 << RESIDUAL);
      CAUSES[RESIDUAL]!.mix(a, b, bit, into);
      const last = plan.cells - 1;
      this.#time[key] = timeOf(into, this.#out, plan.stepM, floor);
      this.#end[key] = this.#out[last]! * (1 + into.residual[last]!);
    }
  }
}

/** Shares of the causes alone. */
export type Shares = Pick<Split, 'shareS' | 'shareOfEnd'>;

/** Splits a stretch's gap over the causes by the Owen value of its mixtures. */
export function shares(mixtures: Mixtures): Shares {
  const { active } = mixtures;
  // Players of the game are the causes that differ, in their groups.
  const groups = MEMBERS.map((members) => members.filter((i) => active.includes(i))).filter((m) => m.length > 0);
  const order = groups.flat();
  const numbered = groups.map((members) => members.map((i) => order.indexOf(i)));
  const masks = new Uint16Array(1 << order.length);
  for (let players = 1; players < masks.length; players++) {
    const highest = 31 - Math.clz32(players);
    masks[players] = masks[players & ~(1 << highest)]! | (1 << order[highest]!);
  }
  const shareS = new Float64Array(CAUSES.length);
  const shareOfEnd = new Float64Array(CAUSES.length);
  if (order.length > 0) {
    const times = owen(numbered, (players) => mixtures.timeS(masks[players]!));
    const ends = owen(numbered, (players) => mixtures.end(masks[players]!));
    order.forEach((cause, k) => {
      shareS[cause] = times[k]!;
      shareOfEnd[cause] = ends[k]!;
    });
  }
  return { shareS, shareOfEnd };
}

/** {@link shares}, with how groups act together and the mixtures of whole groups. */
export function split(described: Described, envelope: Envelope): Split {
  const mixtures = new Mixtures(described, envelope);
  const own = shares(mixtures);
  const groupMask = (group: GroupKey): number => MEMBERS[GROUPS.indexOf(group)]!.reduce((m, i) => m | (1 << i), 0);
  const all = (1 << CAUSES.length) - 1;
  const together: Split['together'][number][] = [];
  for (let i = 0; i < GROUPS.length; i++)
    for (let j = i + 1; j < GROUPS.length; j++) {
      const [g, h] = [groupMask(GROUPS[i]!), groupMask(GROUPS[j]!)];
      const from = mixtures.timeS(g | h) - mixtures.timeS(g) - mixtures.timeS(h) + mixtures.timeS(0);
      const to =
        mixtures.timeS(all) - mixtures.timeS(all & ~g) - mixtures.timeS(all & ~h) + mixtures.timeS(all & ~(g | h));
      // Seen from either side and halved, so that exchanging the laps changes nothing.
      together.push({ groups: [GROUPS[i]!, GROUPS[j]!], byS: (from + to) / 2 });
    }
  const mixtureS = new Float64Array(1 << CHOICES.length);
  const mixtureEnd = new Float64Array(mixtureS.length);
  for (let m = 0; m < mixtureS.length; m++) {
    let taken = 0;
    CHOICES.forEach((group, bit) => {
      if (m & (1 << bit)) taken |= groupMask(group);
    });
    mixtureS[m] = mixtures.timeS(all & ~taken);
    mixtureEnd[m] = mixtures.end(all & ~taken);
  }
  return { ...own, together, mixtureS, mixtureEnd };
}
