import { describe, expect, test } from 'vitest';
import type { Milestone } from '../../src/campaign/results.ts';
import { frontReport } from '../../src/report/front.ts';
import { verdictOf } from '../../src/report/milestones/verdict.ts';
import { campaignNote } from '../../src/report/notes/note.ts';
import { placeOf } from '../../src/report/notes/place.ts';
import { latestSession } from '../../src/report/now.ts';
import type { Results } from '../../src/report/readResults.ts';
import { even, type MadeSession, made } from './made.ts';

const laps = (...gaps: number[]) => gaps.map((gapS) => ({ gaps: even(gapS) }));
const dry: MadeSession = { name: '2026-01-08-track', date: '2026-01-08', laps: laps(2.1, 2, 2.2) };
const wet: MadeSession = {
  name: '2026-02-08-wet',
  date: '2026-02-08',
  laps: laps(9.1, 9, 9.2),
  conditions: { surface: 'wet' },
};
const rig: MadeSession = { name: '2026-03-08-rig', date: '2026-03-08', stage: 'bench', laps: laps(0.4, 0.5, 0.6) };
const unnamed: Milestone = {
  id: 'first',
  file: 'milestones/first.md',
  title: 'First',
  date: '2026-03-31',
  target: { name: null, due: '2026-03-31', gapS: 2.5, lapTimeS: null },
  evidence: [],
  risk: 0.05,
  requires: { laps: null, official: false, surface: null },
  sentences: [],
  decisions: [],
  risks: [],
  limits: [],
  signatures: [],
  text: '',
  line: 1,
};

describe('the session that speaks for now', () => {
  const results: Results = made({ sessions: [dry, wet, rig], milestones: [unnamed] });

  test('is the last dry day on the track, on every page and in every note alike', () => {
    expect(latestSession(results)?.session).toBe(dry.name);
    expect(placeOf('latest', results, null).session.session).toBe(dry.name);
    expect(verdictOf(results, unnamed).level?.value).toBeCloseTo(2.1, 9);
    expect(JSON.stringify(frontReport(results))).toContain(dry.name);
    expect(campaignNote({ ...results, campaign: { ...results.campaign, about: 'Now.' } })?.session?.session).toBe(
      dry.name,
    );
  });

  test('is a wet day on the track before a day on the rig, where nothing was ridden in the dry', () => {
    expect(latestSession(made({ sessions: [wet, rig] }))?.session).toBe(wet.name);
  });

  test('is a day on the rig where there is nothing else, and none before anything was ridden', () => {
    expect(latestSession(made({ sessions: [rig] }))?.session).toBe(rig.name);
    expect(latestSession(results, results.sessions, '2026-01-07')).toBeNull();
  });
});
