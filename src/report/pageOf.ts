import { weekOf } from '../read/isoWeek.ts';
import { weeksOf } from './notes/weeksOf.ts';
import { claimsPath, evidencePath, frontPath, methodPath, problemsPath, progressPath, weekPath } from './paths.ts';
import { problemList } from './problemList.ts';
import type { Results } from './readResults.ts';
import type { Page, Piece } from './report.ts';
import { isoDate } from './words.ts';

/**
 * What every page carries: title, running head, the way to the other parts of the report.
 *
 * @param own what is particular to this page; `name` is its short name in the running head, `date` that of its data
 *   where it shows one session, null where it has none: such a page stays as it is when another session comes
 */
export function pageOf(
  results: Results,
  own: {
    path: string;
    name: string;
    kicker: readonly Piece[];
    headline: string;
    opening: string;
    date?: string | null;
  },
): Page {
  const { campaign } = results;
  const problems = own.date === undefined ? problemList(results).length : 0;
  const asOf = own.date === null ? null : isoDate(own.date ?? campaign.asOf);
  // Where the page has no date it has no week either, and stays as it is when one comes.
  const week = own.date ? weekOf(own.date).name : own.date === undefined ? weeksOf(results).at(-1) : undefined;
  const links: Piece[] = [
    { text: 'Front page', href: frontPath },
    { text: 'Sessions', href: `${frontPath}#sessions` },
    { text: 'Corners', href: `${frontPath}#corners` },
    ...(week ? [{ text: 'Weeks', href: weekPath(week) }] : []),
    ...(campaign.milestones.length > 0 ? [{ text: 'Milestones', href: `${frontPath}#milestones` }] : []),
    { text: 'Progress', href: progressPath },
    { text: 'Evidence', href: evidencePath },
    { text: 'Claims', href: claimsPath },
    { text: 'Method', href: methodPath },
    { text: problems ? `Problems (${problems})` : 'Problems', href: problemsPath },
  ];
  return {
    path: own.path,
    title: own.path === frontPath ? campaign.title : `${own.name} · ${campaign.title}`,
    running: {
      campaign: campaign.title,
      page: own.name,
      asOf,
      edition: campaign.edition && String(campaign.edition.number),
    },
    nav: links.map((link) => ({ ...link, current: link.href === own.path })),
    kicker: own.kicker,
    headline: own.headline,
    opening: own.opening,
    colophon: `${campaign.edition ? `Edition ${campaign.edition.number}, frozen. ${campaign.edition.evidenceOnly ? 'It knows only the sessions that its milestone stands on, so that no other is compared with or counted. ' : ''}` : ''}${asOf === null ? '' : `Data to ${asOf}. `}Made by ${campaign.tool.name} ${campaign.tool.version}, method version ${campaign.method}, results schema ${campaign.schema}. ± is a 90\u202f% interval throughout.`,
  };
}
