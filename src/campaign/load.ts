import { join } from 'node:path';
import { type Circuit, readCircuit } from '../circuit/circuit.ts';
import { type PhaseMap, readPhaseMap } from '../circuit/phases.ts';
import { type Effects, sha256 } from '../effects.ts';
import { nearestWord } from '../nearestWord.ts';
import type { Problem } from '../problem.ts';
import { type CampaignSetup, readCampaignFile } from '../read/campaignFile.ts';
import type { MilestoneSetup } from '../read/milestoneFile.ts';
import { readSessionFile, type SessionSetup } from '../read/sessionFile.ts';
import { readWeekFile, type WeekNote } from '../read/weekFile.ts';
import { accepted } from './accepted.ts';
import { gateOrder } from './gateOrder.ts';
import { loadMilestones } from './loadMilestones.ts';

/** Where a campaign lies. */
export interface Folders {
  readonly content: string;
  readonly sessions: string;
}

/** A session's file read, or why it could not be. */
export interface LoadedSession {
  readonly id: string;
  readonly folder: string;
  /** The session file as the user knows it. */
  readonly file: string;
  readonly session: SessionSetup | null;
  readonly problems: readonly Problem[];
}

export interface LoadedCampaign {
  readonly folders: Folders;
  readonly campaign: CampaignSetup;
  readonly circuits: ReadonlyMap<string, Circuit>;
  /** Phase maps that a file holds; the others are proposed. */
  readonly phaseMaps: Map<string, PhaseMap>;
  /** Circuits whose phase map file is there but cannot be used. */
  readonly brokenMaps: ReadonlySet<string>;
  /** By id, which begins with the date. */
  readonly sessions: readonly LoadedSession[];
  /** Notes of weeks that have a file, in order. */
  readonly weeks: readonly WeekNote[];
  /** By date, then by name. */
  readonly milestones: readonly MilestoneSetup[];
  /** SHA-256 of circuits, phase maps and session files, these without their notes, by their names for a person. */
  readonly hashes: ReadonlyMap<string, string>;
  readonly problems: Problem[];
}

/**
 * Reads everything a person wrote: campaign, circuits, phase maps, session files. No log is opened.
 *
 * @param part whether the folders hold some of the campaign's sessions only, as those of an edition do
 */
export async function loadCampaign(folders: Folders, effects: Effects, part = false): Promise<LoadedCampaign> {
  const problems: Problem[] = [];
  const campaignPath = join(folders.content, 'campaign.md');
  let campaign: CampaignSetup = {
    title: 'Campaign',
    riders: {},
    reference: () => null,
    targets: [],
    stageGates: [],
    neverPublish: [],
    about: '',
    aboutLine: 1,
    site: null,
  };
  const hashes = new Map<string, string>();
  if (await effects.exists(campaignPath)) {
    const read = readCampaignFile(await effects.text(campaignPath), 'campaign.md');
    problems.push(...read.problems);
    if (read.campaign) campaign = read.campaign;
  } else
    problems.push({
      code: 'FILE_MISSING',
      severity: 'stop',
      place: { file: 'campaign.md' },
      found: 'no such file in the content folder',
      expected: 'campaign.md with `title:`, `riders:` and `reference:`',
      remedy: 'give the right folder with `--content`, or copy the demo’s campaign.md and change it',
    });

  const circuits = new Map<string, Circuit>();
  const phaseMaps = new Map<string, PhaseMap>();
  const brokenMaps = new Set<string>();
  const circuitFolder = join(folders.content, 'circuits');
  const entries = await effects.list(circuitFolder);
  for (const { name } of entries) {
    if (!name.endsWith('.geojson')) continue;
    const id = name.slice(0, -'.geojson'.length);
    const file = `circuits/${name}`;
    const text = await effects.text(join(circuitFolder, name));
    hashes.set(file, sha256(text));
    const read = readCircuit(text, file, id);
    problems.push(...read.problems);
    if (!read.circuit) continue;
    circuits.set(id, read.circuit);
    const phases = `${id}.phases.yaml`;
    if (!entries.some((entry) => entry.name === phases)) continue;
    const mapText = await effects.text(join(circuitFolder, phases));
    hashes.set(`circuits/${phases}`, sha256(mapText));
    const map = readPhaseMap(mapText, `circuits/${phases}`, read.circuit.lengthM);
    problems.push(...map.problems);
    if (map.map) phaseMaps.set(id, map.map);
    else brokenMaps.add(id);
  }

  const sessions: LoadedSession[] = [];
  for (const { name: id, folder } of await effects.list(folders.sessions)) {
    if (!folder) continue;
    const path = join(folders.sessions, id);
    if (!(await effects.exists(join(path, 'session.md')))) continue;
    const text = await effects.text(join(path, 'session.md'));
    hashes.set(`${id}/session.md`, sha256(keysOf(text)));
    sessions.push(loadSession(path, id, text, { campaign, circuits }));
  }
  if (sessions.length === 0)
    problems.push({
      code: 'FILE_MISSING',
      severity: 'stop',
      place: { file: 'sessions' },
      found: 'no folder with a session.md in the sessions folder',
      expected: 'folders such as `2026-01-08-track`, each with a session.md and its logs',
      remedy: 'give the right folder with `--sessions`, or make one with `gapbook new session`',
    });
  const weeks: WeekNote[] = [];
  for (const { name, folder } of await effects.list(join(folders.content, 'weeks'))) {
    if (folder || !name.endsWith('.md')) continue;
    const read = readWeekFile(await effects.text(join(folders.content, 'weeks', name)), `weeks/${name}`);
    problems.push(...read.problems);
    if (read.week) weeks.push(read.week);
  }
  const { milestones, problems: ofMilestones } = await loadMilestones(folders.content, { campaign, sessions }, effects);
  problems.push(...ofMilestones, ...gateOrder(campaign.stageGates, sessions, part));
  return { folders, campaign, circuits, phaseMaps, brokenMaps, sessions, weeks, milestones, hashes, problems };
}

/** A session file without its notes, which no number depends on. */
export const keysOf = (text: string): string => /^\uFEFF?---\r?\n[\s\S]*?\n---[ \t]*(\r?\n|$)/.exec(text)?.[0] ?? text;

/** Reads one session file and checks what it names in the campaign. */
function loadSession(
  folder: string,
  id: string,
  text: string,
  known: { campaign: CampaignSetup; circuits: ReadonlyMap<string, Circuit> },
): LoadedSession {
  const file = `${id}/session.md`;
  const { session, problems } = readSessionFile(text, id, file);
  const accept = session?.accept ?? {};
  if (session) {
    const riders = Object.keys(known.campaign.riders);
    if (!riders.includes(session.rider))
      problems.push({
        code: 'RIDER_UNKNOWN',
        severity: 'stop',
        place: { file, key: 'rider' },
        found: `\`${session.rider}\``,
        expected: `a rider of campaign.md: ${riders.map((r) => `\`${r}\``).join(', ')}`,
        remedy: hint(session.rider, riders),
      });
    const circuits = [...known.circuits.keys()];
    if (!circuits.includes(session.circuit))
      problems.push({
        code: 'CIRCUIT_MISSING',
        severity: 'stop',
        place: { file, key: 'circuit' },
        found: `\`${session.circuit}\``,
        expected: `a usable circuit of content/circuits: ${circuits.map((c) => `\`${c}\``).join(', ') || 'there is none'}`,
        remedy: hint(session.circuit, circuits),
      });
  }
  return { id, folder, file, session, problems: accepted(problems, accept) };
}

function hint(word: string, among: readonly string[]): string {
  const near = nearestWord(word, among);
  return near ? `perhaps \`${near}\`` : 'correct the name, or add what it names';
}
