import { availableParallelism } from 'node:os';

/**
 * How glibc is to keep memory for a process of Node; nobody else reads it. Arrays are many and large: large pages spare the
 * machine half of its work for them, and arrays that are free are kept for the next, because the system clears every page
 * that it gives.
 */
export const TUNABLES = [
  'glibc.malloc.hugetlb=1',
  `glibc.malloc.mmap_threshold=${32 << 20}`,
  `glibc.malloc.trim_threshold=${256 << 20}`,
].join(':');

/**
 * What Node is to be told as it starts; later it does not listen. On one core threads that compile and collect beside the
 * work only take turns with it, and young objects are let die in a room that is large from the beginning (MB).
 */
export const flags = (cores = availableParallelism()) =>
  cores === 1 ? ['--single-threaded', '--min-semi-space-size=32', '--max-semi-space-size=32'] : [];
