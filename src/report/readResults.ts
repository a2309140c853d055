import { existsSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { type EditionRecord, editionRecords } from '../campaign/editions.ts';
import {
  type CampaignResult,
  type CircuitView,
  campaignResult,
  type LapCurves,
  type LapResult,
  type RunResult,
  type SessionResult,
  sessionResult,
} from '../campaign/results.ts';
import { resultsOf } from './resultsOf.ts';

/** A lap with what it belongs to and the page that shows it. */
export interface LapOf {
  readonly session: SessionResult;
  readonly run: RunResult;
  readonly lap: LapResult;
  /** Who rode it; a session may hold runs of several riders. */
  readonly rider: { readonly name: string; readonly kind: 'robot' | 'human' };
  /** Counted, and ridden by the rider that the session is about. */
  readonly speaks: boolean;
  /** Site path of its page; null where there is nothing to draw. */
  readonly page: string | null;
}

/** The results of a campaign, as the analysis wrote them. */
export interface Results {
  readonly folder: string;
  readonly campaign: CampaignResult;
  /** By date, then by name. */
  readonly sessions: readonly SessionResult[];
  /** Published editions, milestone by milestone; empty where there is none, and in an edition. */
  readonly editions: readonly EditionRecord[];
  circuit(id: string): CircuitView | undefined;
  session(id: string): SessionResult | undefined;
  /** Every lap of a session in the order of its runs. */
  laps(session: SessionResult): readonly LapOf[];
  lap(name: { session: string; run: string; lap: number }): LapOf | undefined;
  /** Read from disk at each call: curves are large and each is needed once. */
  curves(lap: LapResult): LapCurves | null;
}

/** Results as a build left them in their folder. */
export interface StoredResults extends Results {
  /** Hash of each file, by its path below the folder. */
  readonly hashes: ReadonlyMap<string, string>;
}

/**
 * Reads what the analysis left in a folder: `campaign.json`, `results/<session>.json`, and on demand the curves.
 *
 * @throws where a file is missing or of another schema, with the file's name
 */
export function readResults(folder: string): Results {
  const read = (path: string): unknown => JSON.parse(readFileSync(join(folder, path), 'utf8'));
  const checked = <T>(
    path: string,
    schema: { safeParse(v: unknown): { success: true; data: T } | { success: false; error: Error } },
  ): T => {
    const result = schema.safeParse(read(path));
    if (!result.success) throw new Error(`${path} is not a result that these pages can show: ${result.error.message}`);
    return result.data;
  };
  const campaign = checked<CampaignResult>('campaign.json', campaignResult as never);
  const sessions = campaign.sessions.map((id) => checked<SessionResult>(`results/${id}.json`, sessionResult as never));
  const editions = existsSync(join(folder, 'editions.json'))
    ? checked<EditionRecord[]>('editions.json', editionRecords as never)
    : [];
  return resultsOf(campaign, sessions, { folder, editions });
}
