import { weekNamed, weekOf } from '../../read/isoWeek.ts';
import { claimsOf } from '../notes/checkedNotes.ts';
import { weeksOf } from '../notes/weeksOf.ts';
import { frontPath, weekPath } from '../paths.ts';
import type { Results } from '../readResults.ts';
import { weekHeadline } from './weekReport.ts';

export const feedPath = 'feed.xml';

/**
 * The weeks as an Atom feed (RFC 4287), newest first; null where campaign.md does not say where the site will be read.
 * A week is dated by its last session, at the end of the day, so that the same input gives the same bytes.
 */
export function feedOf(results: Results): string | null {
  const { site, title, asOf } = results.campaign;
  if (site === null) return null;
  const at = (path: string): string => escaped(`${site}/${path}`);
  const weeks = [...weeksOf(results)].reverse();
  const dated = (week: string): string => {
    const days = results.sessions.map((s) => s.date).filter((date) => weekOf(date).name === week);
    return `${days.at(-1) ?? weekNamed(week)?.sunday}T23:59:59Z`;
  };
  const entries = weeks.map((week) => {
    const { headline, opening } = weekHeadline(results, week);
    const own = results.campaign.weeks.find((w) => w.week === week);
    const untrue = claimsOf(results).filter((c) => c.note.page === weekPath(week) && !c.holds).length;
    const words = `${opening}${untrue > 0 ? ` ${untrue} of its claims no longer hold.` : ''}`;
    return `  <entry>
    <id>${at(weekPath(week))}</id>
    <title>${escaped(`${week}: ${own?.title ?? headline}`)}</title>
    <updated>${dated(week)}</updated>
    <link rel="alternate" type="text/html" href="${at(weekPath(week))}"/>
    <summary>${escaped(own?.title ? `${headline}. ${words}` : words)}</summary>
  </entry>
`;
  });
  return `<?xml version="1.0" encoding="utf-8"?>
<feed xmlns="http://www.w3.org/2005/Atom">
  <id>${at(frontPath)}</id>
  <title>${escaped(title)}</title>
  <updated>${weeks.map(dated).sort().at(-1) ?? `${asOf.slice(0, 10)}T00:00:00Z`}</updated>
  <author><name>${escaped(title)}</name></author>
  <link rel="self" type="application/atom+xml" href="${at(feedPath)}"/>
  <link rel="alternate" type="text/html" href="${at(frontPath)}"/>
${entries.join('')}</feed>
`;
}

/** Text for XML, without what XML cannot hold. */
function escaped(text: string): string {
  const allowed = [...text].filter((c) => /[\t\n\r\u0020-\ud7ff\ue000-\ufffd\u{10000}-\u{10ffff}]/u.test(c)).join('');
  return allowed.replace(/[&<>"]/g, (c) => ({ '&': '&amp;', '<': '&lt;', '>': '&gt;', '"': '&quot;' })[c]!);
}
