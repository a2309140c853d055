import { z } from 'zod';

/** A criterion with what was measured of it: one line of the record of a gate. */
export interface Criterion {
  readonly name: string;
  readonly value: number;
  /** Standard uncertainty; 0 where none was given. */
  readonly sd: number;
  readonly unit: string;
  readonly limit: number;
  readonly side: 'at most' | 'at least';
  /** Session that it was measured in; its date is that of the record. */
  readonly evidence: string;
  readonly by: string | null;
}

/** What has to be shown before a stage may be entered. */
export interface StageGate {
  readonly name: string;
  readonly opens: 'simulation' | 'bench' | 'track';
  /** Keys of the configuration: evidence holds for a session only where they are the same. */
  readonly sameAs: readonly string[];
  readonly criteria: readonly Criterion[];
}

const measured = z
  .string({ error: 'a number with its unit, in quotes: `"0.17 s"`' })
  .regex(/^\s*[+-]?(\d+\.?\d*|\.\d+)\s*\S*\s*$/, { error: 'a number with its unit: `"0.17 s"`' })
  .transform((text) => {
    const [, number = '', unit = ''] = /^\s*([+-]?[\d.]+)\s*(\S*)\s*$/.exec(text) ?? [];
    return { value: Number(number), unit };
  });

export const CRITERION_KEYS = ['name', 'value', 'sd', 'atMost', 'atLeast', 'evidence', 'by'] as const;
export const GATE_KEYS = ['name', 'opens', 'sameAs', 'criteria'] as const;

const criterion = z
  .strictObject({
    name: z.string({ error: 'what is measured, as text' }),
    value: measured,
    sd: measured.optional(),
    atMost: measured.optional(),
    atLeast: measured.optional(),
    evidence: z.string({ error: 'the session it was measured in: `2026-01-27-bench`' }),
    by: z.string().optional(),
  })
  .transform(({ name, value, sd, atMost, atLeast, evidence, by }, ctx): Criterion => {
    const limit = atMost ?? atLeast;
    if (!limit || (atMost && atLeast)) {
      ctx.addIssue({ code: 'custom', message: 'either `atMost:` or `atLeast:`' });
      return z.NEVER;
    }
    if (limit.unit !== value.unit || (sd && sd.unit !== value.unit)) {
      ctx.addIssue({ code: 'custom', message: 'value, uncertainty and limit in one unit' });
      return z.NEVER;
    }
    return {
      name,
      value: value.value,
      sd: Math.abs(sd?.value ?? 0),
      unit: value.unit,
      limit: limit.value,
      side: atMost ? 'at most' : 'at least',
      evidence,
      by: by ?? null,
    };
  });

/** `stageGates:` of campaign.md. */
export const stageGates = z.array(
  z.strictObject({
    name: z.string({ error: 'the name of the gate, as text' }),
    opens: z.enum(['simulation', 'bench', 'track'], { error: 'the stage that it opens: `bench` or `track`' }),
    sameAs: z.array(z.string(), { error: 'a list of keys of the configuration: `[firmware]`' }).default([]),
    criteria: z.array(criterion, {
      error: 'a list of criteria: `- { name: …, value: "0.17 s", atMost: "0.25 s", evidence: … }`',
    }),
  }),
  { error: 'a list of gates: `- { name: Bench to track, opens: track, sameAs: [firmware], criteria: […] }`' },
);
