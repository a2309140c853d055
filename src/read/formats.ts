import { csv } from './csv.ts';
import type { Format } from './table.ts';

/** Every format that is read, asked in this order. */
export const FORMATS: readonly Format[] = [csv];
