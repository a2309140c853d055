import { beforeAll, describe, expect, test } from 'vitest';
import { analyseCampaign } from '../../src/campaign/analyseCampaign.ts';
import { loadCampaign } from '../../src/campaign/load.ts';
import { type SessionResult, sessionResult } from '../../src/campaign/results.ts';
import { ovalFiles } from '../report/notes/ovalCampaign.ts';
import { memory } from './memory.ts';

// What must hold of causes in results; the sums are exact before rounding to 10 µs.
const ROUNDING_S = 0.002;

async function sessionsOf(causes: boolean): Promise<SessionResult[]> {
  const effects = memory(ovalFiles());
  const sessions: SessionResult[] = [];
  await analyseCampaign(
    await loadCampaign({ content: 'c', sessions: 's' }, effects),
    { toolVersion: '0', asOf: null, keepMaps: false, causes },
    { session: async (result) => void sessions.push(result), campaign: async () => {} },
    effects,
  );
  return sessions;
}

describe('causes in results', () => {
  let sessions: SessionResult[];
  beforeAll(async () => {
    sessions = await sessionsOf(true);
  });
  const laps = () =>
    sessions.flatMap((s) => s.runs.flatMap((run) => run.laps.map((lap) => ({ session: s, run, lap }))));

  test('fit their schema and sum to the gap of every lap that was compared', () => {
    for (const session of sessions) sessionResult.parse(JSON.parse(JSON.stringify(session)));
    const split = laps().filter(({ lap }) => lap.causes);
    expect(split.length).toBeGreaterThan(2);
    for (const { lap } of split) {
      const sum = lap.causes!.causes.reduce((all, { gapS }) => all + gapS, 0);
      expect(Math.abs(sum - lap.gapS!)).toBeLessThan(ROUNDING_S);
      const windows = lap.causes!.windows.reduce((all, { gapS }) => all + gapS, 0);
      expect(Math.abs(windows - lap.gapS!)).toBeLessThan(ROUNDING_S);
    }
  });

  test('have intervals for the best and the median lap of a session alone', () => {
    for (const { session, run, lap } of laps()) {
      if (!lap.causes) continue;
      const named = [session.summary?.bestLap, session.summary?.medianLap].some(
        (name) => name?.run === run.file && name.lap === lap.lap,
      );
      expect(lap.causes.draws > 0).toBe(named);
      for (const { lowS } of lap.causes.groups) expect(lowS !== undefined).toBe(named);
    }
  });

  test('are none for the reference lap itself, and for nobody who did not ask', async () => {
    for (const { session, run, lap } of laps()) {
      const { reference } = session;
      if (reference?.session === session.session && reference.run === run.file && reference.lap === lap.lap)
        expect(lap.causes).toBeNull();
    }
    for (const session of await sessionsOf(false))
      for (const run of session.runs) for (const lap of run.laps) expect(lap.causes).toBeNull();
  });
});
