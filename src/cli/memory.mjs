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
