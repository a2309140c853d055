import type { LoadedCampaign, LoadedSession } from '../campaign/load.ts';
import { weekOf } from '../read/isoWeek.ts';
import type { MilestoneSetup } from '../read/milestoneFile.ts';

/** What an edition is made from. */
export interface ChosenInputs {
  /** Paths below the content folder, with `/`. */
  readonly content: readonly string[];
  readonly sessions: readonly LoadedSession[];
}

/**
 * The inputs of a milestone's edition: what was known on its day. Sessions up to the milestone's date, milestones and
 * weeks up to it, and the circuits and reference sessions that they need.
 *
 * @param evidenceOnly only the sessions that the milestone names, with their reference and what the stage gates stood on
 *   that day; then no weeks and no other milestones either, which speak of the others
 */
export function chosenInputs(loaded: LoadedCampaign, milestone: MilestoneSetup, evidenceOnly: boolean): ChosenInputs {
  const named = new Set(milestone.evidence.map(({ session }) => session));
  const only = evidenceOnly && named.size > 0;
  const byThen = loaded.sessions.filter(({ session }) => session !== null && session.date <= milestone.date);
  const shown = only ? gatesShownBy(loaded, byThen) : new Set();
  const known = only ? loaded.sessions.filter(({ id }) => named.has(id) || shown.has(id)) : byThen;
  const circuits = [...new Set(known.flatMap(({ session }) => circuitsOf(session)))].sort();
  const references = new Set(circuits.map((id) => loaded.campaign.reference(id)?.session));
  const sessions = loaded.sessions.filter((home) => known.includes(home) || references.has(home.id));
  const last = weekOf(milestone.date).name;
  return {
    content: [
      'campaign.md',
      ...circuits.flatMap((id) => [
        `circuits/${id}.geojson`,
        ...(loaded.hashes.has(`circuits/${id}.phases.yaml`) ? [`circuits/${id}.phases.yaml`] : []),
      ]),
      ...loaded.milestones
        .filter((m) => m === milestone || (!only && m.date <= milestone.date))
        .map(({ file }) => file),
      ...(only ? [] : loaded.weeks.filter(({ week }) => week <= last).map(({ file }) => file)),
    ],
    sessions,
  };
}

/** The sessions that the stage gates stood on: of each criterion the latest record. */
function gatesShownBy({ campaign }: LoadedCampaign, byThen: readonly LoadedSession[]): Set<string> {
  const dates = new Map(byThen.map(({ id, session }) => [id, session!.date]));
  const latest = new Map<string, string>();
  for (const { name: gate, criteria } of campaign.stageGates)
    for (const { name, evidence } of criteria) {
      const key = JSON.stringify([gate, name]);
      const before = dates.get(latest.get(key) ?? '') ?? '';
      if ((dates.get(evidence) ?? '') > before) latest.set(key, evidence);
    }
  return new Set(latest.values());
}

function circuitsOf(session: LoadedSession['session']): string[] {
  return session ? [session.circuit, ...session.runs.map(({ circuit }) => circuit)] : [];
}
