import { createRequire } from 'node:module';
import type { PHASES } from '../cells.ts';
import type { LapOf, Results } from '../readResults.ts';

/** Laps of one kind taken together. Means, because means of parts add up to the mean of the whole. */
export interface Rollup {
  readonly laps: number;
  readonly meanS: number;
  /** Standard deviation from lap to lap; null for one lap. */
  readonly deviationS: number | null;
  readonly leastS: number;
  readonly greatestS: number;
}

/** What the counted laps of the robot lost, rolled up over the whole campaign. */
export interface Rollups {
  /** By session, corner and phase, in that order; a phase that no lap of a session has is not listed. */
  readonly phases: readonly (Rollup & { session: string; corner: string; phase: (typeof PHASES)[number] })[];
  /** By session and corner, over its three phases. */
  readonly corners: readonly (Rollup & { session: string; corner: string })[];
  /** By session, over the lap. */
  readonly sessions: readonly (Rollup & { session: string })[];
  /** By circuit, stage, controller and configuration, in the order they were first run. */
  readonly configurations: readonly Configuration[];
}

/** Everything that was ridden on one circuit at one stage with one configuration. */
export interface Configuration {
  readonly circuit: string;
  readonly stage: string;
  readonly controller: string;
  readonly configurationHash: string;
  readonly sessions: readonly string[];
  readonly total: Rollup;
  readonly phases: Readonly<Record<(typeof PHASES)[number], Rollup | null>>;
}

/** A control character; where a name should hold it, it gives way to a space. */
const SEPARATOR = '\u001f';
const key = (...parts: readonly string[]): string => parts.join(SEPARATOR);
const clean = (name: string): string => name.replaceAll(SEPARATOR, ' ');

/**
 * Rolls up the ledgers of all counted laps of the robot that have a gap.
 *
 * Danfo is given one column of keys of our own (its several keys run into each other), only complete numbers, and is
 * asked for counts, means, deviations, least and greatest alone. It takes a second to load, so it is loaded here and not
 * before.
 */
export function rollups(results: Results): Rollups {
  const laps = results.sessions
    .filter((s) => s.rider.kind === 'robot')
    .flatMap((s) => results.laps(s))
    .filter((l) => l.speaks && l.lap.ledger.length > 0);
  const names: Name[] = laps.map((of, i) => ({ of, lap: String(i) }));
  const cells = names.flatMap(({ of, lap }) =>
    of.lap.ledger
      .filter((c) => c.toM > c.fromM && Number.isFinite(c.gapS))
      .map((c) => ({ of, lap, corner: clean(c.corner), phase: c.phase, gapS: c.gapS })),
  );
  if (cells.length === 0) return { phases: [], corners: [], sessions: [], configurations: [] };
  const rolled = (
    group: (of: LapOf) => readonly string[],
    part: (cell: (typeof cells)[number]) => readonly string[],
  ) => {
    // First every lap by itself: what it lost in a phase may lie in two cells.
    const perLap = new Map<string, { of: string; sum: number }>();
    for (const cell of cells) {
      const of = key(...group(cell.of), ...part(cell));
      const known = perLap.get(key(of, cell.lap));
      if (known) known.sum += cell.gapS;
      else perLap.set(key(of, cell.lap), { of, sum: cell.gapS });
    }
    const sums = [...perLap.values()];
    const groups = grouped(
      sums.map(({ of }) => of),
      sums.map(({ sum }) => sum),
    );
    return new Map(groups.map((g) => [key(...g.of), { of: g.of, ...rollupOf(g) }]));
  };
  const session = (of: LapOf): string[] => [clean(of.session.session)];
  const own = (of: LapOf): string[] => [
    clean(of.session.circuit),
    of.session.stage,
    clean(of.session.controller ?? ''),
    of.run.configurationHash,
  ];
  const sessionsOf = new Map<string, Set<string>>();
  for (const of of laps) {
    const name = key(...own(of));
    if (!sessionsOf.has(name)) sessionsOf.set(name, new Set());
    sessionsOf.get(name)!.add(of.session.session);
  }
  const totals = rolled(own, () => []);
  const byPhase = rolled(own, (c) => [c.phase]);
  return {
    phases: [...rolled(session, (c) => [c.corner, c.phase]).values()].map(({ of, ...r }) => ({
      session: of[0]!,
      corner: of[1]!,
      phase: of[2] as (typeof PHASES)[number],
      ...r,
    })),
    corners: [...rolled(session, (c) => [c.corner]).values()].map(({ of, ...r }) => ({
      session: of[0]!,
      corner: of[1]!,
      ...r,
    })),
    sessions: [...rolled(session, () => []).values()].map(({ of, ...r }) => ({ session: of[0]!, ...r })),
    configurations: [...totals.values()].map(({ of, ...total }) => {
      const [circuit = '', stage = '', controller = '', configurationHash = ''] = of;
      const phase = (name: string): Rollup | null => {
        const found = byPhase.get(key(...of, name));
        if (!found) return null;
        const { of: _, ...rest } = found;
        return rest;
      };
      return {
        circuit,
        stage,
        controller,
        configurationHash,
        sessions: [...(sessionsOf.get(key(...of)) ?? [])],
        total,
        phases: { braking: phase('braking'), apex: phase('apex'), drive: phase('drive') },
      };
    }),
  };
}

interface Name {
  readonly of: LapOf;
  readonly lap: string;
}

const STATISTICS = ['count', 'mean', 'std', 'min', 'max'] as const;

type Group = { readonly of: readonly string[] } & Readonly<Record<(typeof STATISTICS)[number], number>>;

const rollupOf = (group: Group): Rollup => ({
  laps: group.count,
  meanS: group.mean,
  // Danfo calls the deviation of one number zero; it is not known.
  deviationS: group.count > 1 ? group.std : null,
  leastS: group.min,
  greatestS: group.max,
});

/** Statistics of values by key, keys in the order they first occur. */
function grouped(keys: readonly string[], values: readonly number[]): Group[] {
  const { DataFrame } = danfo();
  const frame = new DataFrame({ key: [...keys], value: [...values] });
  const { columns, values: rows } = frame.groupby(['key']).agg({ value: [...STATISTICS] });
  // The order of its groups is its own affair.
  const found = new Map((rows as (string | number)[][]).map((row) => [row[columns.indexOf('key')], row]));
  return [...new Set(keys)].map((name) => {
    const of = (statistic: (typeof STATISTICS)[number]): number =>
      Number(found.get(name)![columns.indexOf(`value_${statistic}`)]);
    return {
      of: name.split(SEPARATOR),
      count: of('count'),
      mean: of('mean'),
      std: of('std'),
      min: of('min'),
      max: of('max'),
    };
  });
}

/** The part of it that knows tables: its readers of files load a third as much again. */
type Danfo = typeof import('danfojs-node/dist/danfojs-base');
const danfo = (): Danfo => createRequire(import.meta.url)('danfojs-node/dist/danfojs-base') as Danfo;
