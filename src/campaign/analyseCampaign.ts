import { type Effects, sha256 } from '../effects.ts';
import type { Problem } from '../problem.ts';
import { analyseSession } from './analyse.ts';
import { CampaignCircuit, type CircuitMemory } from './campaignCircuit.ts';
import { type Digest, digestOf } from './findings/digest.ts';
import type { findingsOf } from './findings/findingsOf.ts';
import type { Inputs } from './inputs.ts';
import type { Found, Kept } from './kept.ts';
import type { LoadedCampaign } from './load.ts';
import { milestoneView } from './milestoneView.ts';
import {
  type CampaignResult,
  type Edition,
  type LapCurves,
  METHOD_VERSION,
  RESULTS_SCHEMA,
  type SessionResult,
} from './results.ts';

/** What a campaign’s analysis gives, session by session, so that only one is in memory. */
export interface CampaignSink {
  /** @param why what is not as it was at the last build; null without a memory */
  session(result: SessionResult, curves: ReadonlyMap<string, LapCurves>, why: string | null): Promise<void>;
  /**
   * A session whose result stands as an earlier build left it, or with other notes, on which nothing else depends.
   *
   * @param rewritten whether it is the notes' turn
   */
  unchanged?(result: SessionResult, rewritten: boolean): Promise<void>;
  campaign(result: CampaignResult): Promise<void>;
}

/** What earlier builds left, and what it was made from. */
export interface CampaignMemory extends CircuitMemory {
  /** Results as the sink of an earlier build was given them; kept by that sink. */
  readonly sessions: { find(id: string, inputs: Inputs): Promise<Found<SessionResult>> };
  readonly findings: Pick<Kept<CampaignResult['findings']>, 'find' | 'keep'>;
  /** Called once a session’s result is in the sink. */
  keepSession(result: SessionResult, curves: ReadonlyMap<string, LapCurves>, inputs: Inputs): Promise<void>;
}

interface Options {
  readonly toolVersion: string;
  readonly asOf: string | null;
  /** Write proposed phase maps beside their circuits. */
  readonly keepMaps: boolean;
  /** Split every lap's gap by cause, which takes as long as all the rest. */
  readonly causes?: boolean;
  readonly memory?: CampaignMemory;
  /** The edition that the results are frozen for. */
  readonly edition?: Edition;
}

/** Analyses a whole campaign. Sessions that cannot be read are left out and stand in the campaign's problems. */
export async function analyseCampaign(
  loaded: LoadedCampaign,
  options: Options,
  sink: CampaignSink,
  effects: Effects,
): Promise<CampaignResult> {
  const { memory = null } = options;
  const problems: Problem[] = [...loaded.problems];
  const circuits = new Map<string, CampaignCircuit>();
  for (const { session } of loaded.sessions) {
    if (!session || circuits.has(session.circuit)) continue;
    const circuit = new CampaignCircuit(loaded, session.circuit, options.keepMaps, memory, effects);
    await circuit.open();
    circuits.set(session.circuit, circuit);
    problems.push(...circuit.problems);
  }
  const ids: string[] = [];
  let newest = '';
  const digests: Digest[] = [];
  const taken = (result: SessionResult): void => {
    digests.push(digestOf(result, ids.length));
    ids.push(result.session);
    if (result.date > newest) newest = result.date;
  };
  for (const home of loaded.sessions) {
    const circuit = circuits.get(home.session?.circuit ?? '');
    const inputs = circuit && (await memory?.inputsOf.session(home, circuit.inputs));
    const found = inputs && (await memory?.sessions.find(home.id, inputs));
    if (found?.value) {
      const { notes, notesLine } = home.session ?? found.value;
      const rewritten = notes !== found.value.notes || notesLine !== found.value.notesLine;
      taken(found.value);
      await sink.unchanged?.(rewritten ? { ...found.value, notes, notesLine } : found.value, rewritten);
      continue;
    }
    const reference = (await circuit?.reference()) ?? null;
    const analysis = await analyseSession(loaded, home, reference, effects, null, options.causes);
    if (!analysis) {
      problems.push(...home.problems);
      continue;
    }
    taken(analysis.result);
    await sink.session(analysis.result, analysis.curves, found?.why ?? null);
    if (inputs) await memory?.keepSession(analysis.result, analysis.curves, inputs);
    effects.tidy();
  }
  const views = [...circuits.values()].flatMap(({ view }) => (view ? [view] : []));
  const targets = [...loaded.campaign.targets];
  const result: CampaignResult = {
    schema: RESULTS_SCHEMA,
    method: METHOD_VERSION,
    tool: { name: 'gapbook', version: options.toolVersion },
    asOf: options.asOf ?? newest,
    title: loaded.campaign.title,
    about: loaded.campaign.about,
    aboutLine: loaded.campaign.aboutLine,
    site: loaded.campaign.site,
    weeks: loaded.weeks.map((week) => ({
      ...week,
      next: [...week.next],
      sentences: [...week.sentences],
      decisions: [...week.decisions],
      risks: [...week.risks],
    })),
    milestones: loaded.milestones.map((milestone) => milestoneView(milestone, loaded.campaign.targets)),
    edition: options.edition ?? null,
    stageGates: loaded.campaign.stageGates.map((gate) => ({
      ...gate,
      sameAs: [...gate.sameAs],
      criteria: [...gate.criteria],
    })),
    riders: { ...loaded.campaign.riders },
    targets,
    circuits: views,
    sessions: ids,
    findings: await findingsOnce(memory, digests, { circuits: views, targets }),
    problems,
  };
  await sink.campaign(result);
  return result;
}

const FINDINGS = 'findings';

/**
 * Findings take longer than all the rest where nothing but a note changed: those of the same laps are found once. The
 * statistics are loaded when they are needed.
 */
async function findingsOnce(
  memory: CampaignMemory | null,
  ...asked: Parameters<typeof findingsOf>
): Promise<CampaignResult['findings']> {
  const find = async (): Promise<CampaignResult['findings']> =>
    (await import('./findings/findingsOf.ts')).findingsOf(...asked);
  if (!memory) return find();
  const inputs = memory.inputsOf.laps(sha256(JSON.stringify(asked)));
  const { value } = await memory.findings.find(FINDINGS, inputs);
  const findings = value ?? (await find());
  if (!value) await memory.findings.keep(FINDINGS, inputs, findings);
  return findings;
}

/** Where a session's and a lap's results lie below the results folder. */
export const resultPath = (session: string): string => `results/${session}.json`;
