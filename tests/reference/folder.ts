import { existsSync, readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { describe, test } from 'vitest';

export interface CheckCase<In = Record<string, number>, Out = Record<string, number>> {
  readonly id: string;
  readonly kind?: string;
  readonly set?: string;
  readonly in: In;
  readonly out: Out;
  readonly [key: string]: unknown;
}

export interface Check<In = Record<string, number>, Out = Record<string, number>> {
  readonly check: string;
  readonly tolerance: Readonly<Record<string, number>>;
  readonly source: string;
  readonly cases: readonly CheckCase<In, Out>[];
}

const FOLDER = fileURLToPath(new URL('../../../shared/reference/', import.meta.url));

/** Folder of the independent check cases, or null where this copy of the repository stands alone. */
export function referenceFolder(): string | null {
  return existsSync(FOLDER) ? FOLDER : null;
}

/** One file of check cases, by its path in the reference folder. */
export function readCheck<In = Record<string, number>, Out = Record<string, number>>(path: string): Check<In, Out> {
  return JSON.parse(readFileSync(FOLDER + path, 'utf8')) as Check<In, Out>;
}

/** Text of a file of the reference folder. */
export function readReference(path: string): string {
  return readFileSync(FOLDER + path, 'utf8');
}

/** Columns of a table of numbers in the reference folder, one heading line, by heading. */
export function readColumns(path: string): Record<string, Float64Array> {
  const [heading, ...rows] = readReference(path).trim().split(/\r?\n/);
  const names = heading!
    .replace(/^#\s*/, '')
    .split(',')
    .map((name) => name.trim());
  const cells = rows.map((row) => row.split(',').map(Number));
  return Object.fromEntries(names.map((name, column) => [name, Float64Array.from(cells, (row) => row[column]!)]));
}

/** A group of tests on the reference folder; one skipped test with the reason where it is absent. */
export function withReference(name: string, body: () => void): void {
  if (referenceFolder() !== null) describe(name, body);
  else test.skip(`${name}: the reference folder is not here`, () => {});
}
