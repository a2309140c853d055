import { z } from 'zod';

const file = z.strictObject({ sha256: z.string(), bytes: z.number().int() });

/** A file that results were made from, as they were made from it. */
const input = file.extend({
  here: z.boolean().describe('whether the edition holds it'),
  /** The log as the logger wrote it, where channels were taken out of it. */
  original: file.optional(),
});

/** `data/edition.json`: what an edition is, and all that its results stand on. */
export const editionFile = z.strictObject({
  form: z.literal(1).describe('of this file'),
  milestone: z.string(),
  title: z.string(),
  campaign: z.string(),
  number: z.number().int(),
  asOf: z.string().describe('date of the newest session, or as asked'),
  asOfAsked: z.string().nullable(),
  lapPages: z.enum(['all', 'evidence', 'best']),
  evidenceOnly: z.boolean(),
  tool: z.strictObject({ name: z.literal('gapbook'), version: z.string(), node: z.string() }),
  /** Hashes of what computes and of what renders: sources, lock file and engine. */
  code: z.strictObject({ analysis: z.string(), pages: z.string() }),
  method: z.number().int(),
  schema: z.number().int().describe('of the results'),
  withheld: z.array(z.string()).describe('channels and columns that were taken out of the logs'),
  inputs: z.record(z.string(), input).describe('paths below data/inputs'),
});
export type EditionFile = z.infer<typeof editionFile>;
export type InputFile = EditionFile['inputs'][string];
