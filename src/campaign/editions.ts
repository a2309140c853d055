import { z } from 'zod';

const nullable = z.number().nullable();

/** What an edition says of the laps that its milestone stands on, in figures that every version of the results has. */
const figures = z.strictObject({
  laps: z.number().int(),
  medianS: nullable,
  bestS: nullable,
  medianGapS: nullable,
  bestGapS: nullable,
  /** Median over the laps of each cell's gap. */
  cells: z.array(z.strictObject({ corner: z.string(), cell: z.string(), medianGapS: z.number() })),
});

/** A published edition as the live site shows it: read from its folder, whatever version of the tool wrote it. */
export const editionRecord = z.strictObject({
  milestone: z.string(),
  title: z.string(),
  number: z.number().int(),
  asOf: z.string(),
  tool: z.string().describe('version'),
  node: z.string(),
  code: z.string().describe('hash of what computed: sources, packages, engine'),
  method: z.number().int(),
  schema: z.number().int(),
  fingerprint: z.string().describe('SHA-256 of tagmanifest-sha512.txt'),
  bytes: z.number(),
  files: z.number().int(),
  logs: z.boolean().describe('whether it holds its logs'),
  withheld: z.array(z.string()),
  settings: z.string(),
  sessions: z.array(z.string()).describe('that the milestone stands on'),
  /** Files and choices that numbers come from, and what people wrote: name for a person -> SHA-256. */
  data: z.record(z.string(), z.string()),
  notes: z.record(z.string(), z.string()),
  figures: figures.nullable().describe('null where the version of its results is not known here'),
});

export const editionRecords = z.array(editionRecord);
export type EditionRecord = z.infer<typeof editionRecord>;
export type EditionFigures = z.infer<typeof figures>;
