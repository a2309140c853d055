import { availableParallelism } from 'node:os';
import { setFlagsFromString } from 'node:v8';

/** Fits Node to the machine; before any work is done. */
export function fitEngine(): void {
  // On one core code that compiles beside the work only takes turns with it: a tenth of the time is spent on that.
  if (availableParallelism() === 1) setFlagsFromString('--no-concurrent-recompilation');
}
