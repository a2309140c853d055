import { availableParallelism } from 'node:os';
import { setFlagsFromString } from 'node:v8';

/** Fits Node to the machine; before any work is done. */
export function fitEngine(): void {
  // On one core code that compiles beside the work only takes turns with it: a tenth of the time is spent on that.
  if (availableParallelism() === 1) setFlagsFromString('--no-concurrent-recompilation');
  // Arrays are most of the memory. Counted with the rest, they start a search through all of it a fifth as often as by
  // their own limit, which each run reaches. A flag of the V8 of Node 24; others would say that they do not know it.
  if (process.versions.v8.startsWith('13.6.')) setFlagsFromString('--external-memory-accounted-in-global-limit');
}
