import { z } from 'zod';
import type { EditionFigures } from '../campaign/editions.ts';
import { median } from '../numbers/quantile.ts';

/** A place that a milestone stands on. */
export interface EvidencePlace {
  readonly session: string;
  readonly run: string | null;
  readonly lap: number | null;
}

/** What an edition's results say, in terms that outlive the version of their schema. */
export interface EditionSays {
  readonly evidence: readonly EvidencePlace[];
  readonly figures: EditionFigures;
  /** What numbers come from: name for a person -> SHA-256. */
  readonly data: Readonly<Record<string, string>>;
}

type Read = (campaign: unknown, sessions: readonly unknown[], milestone: string) => EditionSays;

/**
 * Readers of results, one for each version of their schema that was ever released. A version stays here for good: editions
 * are never written again. A new version is a reader more, and a stored result more in tests/archive.
 */
const READERS: Readonly<Record<number, Read>> = { 1: read1 };

/** What results say; null where their version is not known. */
export function editionSays(
  schema: number,
  campaign: unknown,
  sessions: readonly unknown[],
  milestone: string,
): EditionSays | null {
  return READERS[schema]?.(campaign, sessions, milestone) ?? null;
}

const nullable = z.number().nullable();
const hashes = z.record(z.string(), z.string());

// Of version 1 only what is needed, so that keys that came later are no hindrance.
const campaign1 = z.object({
  milestones: z.array(
    z.object({
      id: z.string(),
      evidence: z.array(z.object({ session: z.string(), run: z.string().nullable(), lap: nullable })),
    }),
  ),
});
const session1 = z.object({
  session: z.string(),
  rider: z.object({ key: z.string(), kind: z.string() }),
  inputs: z.object({ session: hashes, circuit: hashes, phaseMap: hashes, reference: hashes }),
  runs: z.array(
    z.object({
      file: z.string(),
      rider: z.string(),
      inputs: hashes,
      laps: z.array(
        z.object({
          lap: z.number(),
          counted: z.boolean(),
          timeS: nullable,
          gapS: nullable,
          ledger: z.array(z.object({ corner: z.string(), cell: z.string(), gapS: z.number() })),
        }),
      ),
    }),
  ),
});

function read1(campaign: unknown, sessions: readonly unknown[], milestone: string): EditionSays {
  const { milestones } = campaign1.parse(campaign);
  const all = sessions.map((session) => session1.parse(session));
  const named = milestones.find(({ id }) => id === milestone)?.evidence ?? [];
  const robots = all.filter(({ rider }) => rider.kind === 'robot');
  const evidence =
    named.length > 0 ? named : robots.slice(-1).map(({ session }) => ({ session, run: null, lap: null }));
  const laps = robots.flatMap((s) =>
    s.runs
      .filter((run) => run.rider === s.rider.key)
      .flatMap((run) =>
        run.laps.filter(
          (lap) =>
            lap.counted &&
            evidence.some(
              (e) =>
                e.session === s.session &&
                (e.run === null || e.run === run.file) &&
                (e.lap === null || e.lap === lap.lap),
            ),
        ),
      ),
  );
  const known = (values: readonly (number | null)[]): number[] => values.filter((value) => value !== null);
  const middle = (values: readonly (number | null)[]): number | null => {
    const given = known(values);
    return given.length > 0 ? median(given) : null;
  };
  const least = (values: readonly (number | null)[]): number | null => {
    const given = known(values);
    return given.length > 0 ? Math.min(...given) : null;
  };
  const cells = new Map<string, { corner: string; cell: string; gaps: number[] }>();
  for (const lap of laps) {
    // The two halves of a cell that the gate cuts are one here.
    const sums = new Map<string, { corner: string; cell: string; gapS: number }>();
    for (const { corner, cell, gapS } of lap.ledger) {
      const key = JSON.stringify([corner, cell]);
      sums.set(key, { corner, cell, gapS: gapS + (sums.get(key)?.gapS ?? 0) });
    }
    for (const [key, { corner, cell, gapS }] of sums) {
      const of = cells.get(key) ?? { corner, cell, gaps: [] };
      of.gaps.push(gapS);
      cells.set(key, of);
    }
  }
  const data: Record<string, string> = {};
  for (const { inputs, runs, session } of all) {
    if (!evidence.some((e) => e.session === session)) continue;
    Object.assign(data, inputs.session, inputs.circuit, inputs.phaseMap, inputs.reference);
    for (const run of runs) Object.assign(data, run.inputs);
  }
  return {
    evidence,
    figures: {
      laps: laps.length,
      medianS: middle(laps.map(({ timeS }) => timeS)),
      bestS: least(laps.map(({ timeS }) => timeS)),
      medianGapS: middle(laps.map(({ gapS }) => gapS)),
      bestGapS: least(laps.map(({ gapS }) => gapS)),
      cells: [...cells.values()].map(({ corner, cell, gaps }) => ({ corner, cell, medianGapS: median(gaps) })),
    },
    data,
  };
}
