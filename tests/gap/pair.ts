import type { AlignedLap } from '../../src/align/alignLap.ts';
import type { Circuit } from '../../src/circuit/circuit.ts';
import type { PhaseMap } from '../../src/circuit/phases.ts';
import { type Cell, cellsOf } from '../../src/gap/cells.ts';
import { type Ledger, ledgerOf } from '../../src/gap/ledger.ts';
import { proposePhases, zonesOf } from '../../src/technique/proposePhases.ts';
import { type CornerTechnique, commonRules, rulesOf, techniqueOf } from '../../src/technique/technique.ts';
import { type Log, laid, type SetupKeys } from '../align/laidLog.ts';

/** Lap 1 of a log, which must have gone round. */
export function lapOf(log: Log, circuit: Circuit, keys: SetupKeys = {}, number = 1): AlignedLap {
  const lap = laid(log, circuit, { stage: 'simulation', position: { sigmaM: null }, ...keys }).aligned.get(number);
  if (!lap || lap.timeS === null) throw new Error(`no lap ${number}`);
  return lap;
}

export function mapOf(reference: AlignedLap): PhaseMap {
  const map = proposePhases(reference.run.circuit, [reference], 'one lap', 1);
  if (!map) throw new Error('no corner');
  return map;
}

export interface Pair {
  readonly cells: readonly Cell[];
  readonly ledger: Ledger;
  readonly own: readonly CornerTechnique[];
  readonly other: readonly CornerTechnique[];
}

/** Two laps joined as a session's analysis joins them. */
export function pair(lap: AlignedLap, reference: AlignedLap, map: PhaseMap): Pair {
  const zones = zonesOf(map);
  const rules = commonRules(rulesOf(lap), rulesOf(reference));
  const own = techniqueOf(lap, zones, rules);
  const other = techniqueOf(reference, zones, rules);
  const onsets = map.corners.map(({ name }) =>
    [own, other].flatMap((measured) => measured.find(({ corner }) => corner === name)?.brakeOnsetM ?? []),
  );
  const cells = cellsOf(map, onsets);
  return { cells, ledger: ledgerOf(lap, reference, cells), own, other };
}

/** Gap of every corner's window, by name: the sum of its cells. */
export function windows({ entries }: Ledger): Record<string, number> {
  const sums: Record<string, number> = {};
  for (const { corner, gapS } of entries) sums[corner] = (sums[corner] ?? 0) + gapS;
  return sums;
}
