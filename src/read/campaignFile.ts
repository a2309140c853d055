import { z } from 'zod';
import type { Problem } from '../problem.ts';
import { lapTime, quantity } from '../units.ts';
import { frontMatter } from './frontMatter.ts';
import { CRITERION_KEYS, GATE_KEYS, type StageGate, stageGates } from './stageGates.ts';

export interface Rider {
  readonly name: string;
  readonly kind: 'robot' | 'human';
}

export interface Target {
  readonly name: string;
  readonly due: string | null;
  readonly gapS: number | null;
  readonly lapTimeS: number | null;
}

/** `<session>[/<run>[/<lap>]]`: where the reference lap comes from; the best valid lap where it is left open. */
export interface ReferenceChoice {
  readonly session: string;
  readonly run: string | null;
  readonly lap: number | null;
}

export interface CampaignSetup {
  readonly title: string;
  readonly riders: Readonly<Record<string, Rider>>;
  /** For a circuit; null where the campaign names none. */
  reference(circuit: string): ReferenceChoice | null;
  readonly targets: readonly Target[];
  readonly stageGates: readonly StageGate[];
  readonly about: string;
  /** Line of the file on which that begins. */
  readonly aboutLine: number;
  /** Channels, or columns by their headings, that no edition may hold. */
  readonly neverPublish: readonly string[];
  /** Where the site will be read, without a slash at the end; null where nobody said. */
  readonly site: string | null;
}

const seconds = z.union([z.string(), z.number()]).transform((given, ctx) => {
  const value = typeof given === 'number' ? given : (quantity(given, 's') ?? lapTime(given));
  if (value !== null) return value;
  ctx.addIssue({ code: 'custom', message: 'a time such as `"5 s"` or `"1:32.4"`' });
  return z.NEVER;
});

/** A session, a run in it, the number of a lap of that. */
const LAP_PLACE = /^[^/]+(\/[^/]+(\/\d+)?)?$/;
const lapPlace = z.string().regex(LAP_PLACE, {
  error: 'a session, `2026-01-05-track`, with `/run-01.csv` and `/3` behind it where wanted',
});

const targetShape = {
  name: z.string(),
  due: z.string().optional(),
  gap: seconds.optional(),
  lapTime: seconds.optional(),
};
const riderShape = { name: z.string(), kind: z.enum(['robot', 'human'], { error: '`robot` or `human`' }) };
const shape = {
  title: z.string({ error: 'the name of the campaign' }),
  riders: z.record(z.string(), z.strictObject(riderShape), { error: 'a map: `robot: { name: …, kind: robot }`' }),
  reference: z
    .union([lapPlace, z.record(z.string(), lapPlace)], {
      error: 'a session, `2026-01-05-track`, with `/run-01.csv` and `/3` behind it where wanted',
    })
    .optional(),
  targets: z.array(z.strictObject(targetShape)).optional(),
  stageGates: stageGates.optional(),
  neverPublish: z
    .array(z.string(), { error: 'a list of channels, or of headings of columns: `[engine_speed, "Map"]`' })
    .optional(),
  site: z
    .string({ error: 'an address, `https://example.org/report/`' })
    .regex(/^https?:\/\/[^\s/?#]+[^\s?#]*$/, { error: 'an address, `https://example.org/report/`' })
    .optional(),
};

function keysAt(path: readonly PropertyKey[]): readonly string[] {
  if (path[0] === 'targets') return Object.keys(targetShape);
  if (path[0] === 'riders') return Object.keys(riderShape);
  if (path[0] === 'stageGates') return path.includes('criteria') ? CRITERION_KEYS : GATE_KEYS;
  return Object.keys(shape);
}

/** Reads campaign.md: title, riders, reference and targets, with every problem found. */
export function readCampaignFile(text: string, file: string): { campaign: CampaignSetup | null; problems: Problem[] } {
  const parts = frontMatter(text, file);
  if (!parts)
    return {
      campaign: null,
      problems: [
        {
          code: 'FRONT_MATTER',
          severity: 'stop',
          place: { file, line: 1 },
          found: 'no front matter',
          expected: 'a first line `---`, `title:`, `riders:` and `reference:`, and a line `---` below them',
          remedy: 'copy the one of the demo in content/campaign.md and change it',
        },
      ],
    };
  const { value, problems } = parts.yaml.checked(z.strictObject(shape), keysAt);
  if (value === null) return { campaign: null, problems };
  const { title, riders, reference, targets = [], stageGates: gates = [], neverPublish = [], site } = value;
  return {
    campaign: {
      title,
      riders,
      reference: (circuit) => {
        const named = typeof reference === 'string' ? reference : reference?.[circuit];
        if (named === undefined) return null;
        const [session = '', run = null, lap = null] = named.split('/');
        return { session, run, lap: lap === null ? null : Number(lap) };
      },
      targets: targets.map((t) => ({
        name: t.name,
        due: t.due ?? null,
        gapS: t.gap ?? null,
        lapTimeS: t.lapTime ?? null,
      })),
      neverPublish,
      stageGates: gates,
      about: parts.body,
      aboutLine: parts.bodyLine,
      site: site?.replace(/\/+$/, '') ?? null,
    },
    problems,
  };
}
