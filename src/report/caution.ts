/** Stands wherever a reader could act on a margin or a gate. */
export const CAUTION = [
  'Riding at the limit can kill. This report describes laps that were ridden; it does not clear a machine, a rider or a software version to run.',
  'Margins are relative to what was demonstrated under the stated conditions. Track rules, the circuit’s safety officer, local codes and licensed professionals decide.',
] as const;
