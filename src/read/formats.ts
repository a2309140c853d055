import { csv } from './csv.ts';
import { gpx } from './gpx.ts';
import type { Format } from './table.ts';

/** Every format that is read, asked in this order; CSV takes what looks like text. */
export const FORMATS: readonly Format[] = [gpx, csv];
