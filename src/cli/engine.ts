import { setFlagsFromString } from 'node:v8';

/** Fits Node to the machine; before any work is done. */
export function fitEngine(): void {
  // Arrays are most of the memory. Counted with the rest, they start a search through all of it a fifth as often as by
  // their own limit, which each run reaches. A flag of the V8 of Node 24; others would say that they do not know it.
  if (process.versions.v8.startsWith('13.6.')) setFlagsFromString('--external-memory-accounted-in-global-limit');
}
