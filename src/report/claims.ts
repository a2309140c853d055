import { claimsOf } from './notes/checkedNotes.ts';
import { type Claim, isChanged } from './notes/claim.ts';
import { claimId, nowWords } from './notes/directives/claim.ts';
import { placeText } from './notes/place.ts';
import { spreadWords } from './notes/written.ts';
import { pageOf } from './pageOf.ts';
import { claimsPath, lapPath, sessionPath, tableLinks } from './paths.ts';
import type { Results } from './readResults.ts';
import type { Cell, Page, Table } from './report.ts';
import { plural, sentence } from './words.ts';

/** Every claim of the notes. */
export interface ClaimsReport extends Page {
  readonly kind: 'claims';
  readonly groups: readonly { readonly id: string; readonly table: Table }[];
  /** Which claims stand on which file, a row a file. */
  readonly files: Table | null;
  /** The same, a row for each claim on each file. */
  readonly stands: Table | null;
}

const GROUPS = [
  { id: 'untrue', title: 'Untrue', of: (c: Claim) => !c.holds },
  { id: 'changed', title: 'Changed, and still true', of: (c: Claim) => c.holds && isChanged(c) },
  { id: 'open', title: 'Not confirmed yet', of: (c: Claim) => c.holds && c.confirmedOn === null },
  { id: 'holding', title: 'Confirmed and true', of: (c: Claim) => c.holds && c.confirmedOn === c.mark },
] as const;

/** Everything the page of claims says. */
export function claimsReport(results: Results): ClaimsReport {
  const claims = claimsOf(results);
  const n = (id: (typeof GROUPS)[number]['id']): number => claims.filter(GROUPS.find((g) => g.id === id)!.of).length;
  return {
    kind: 'claims',
    ...pageOf(results, {
      path: claimsPath,
      name: 'Claims',
      kicker: [{ text: 'Claims of the notes' }],
      headline:
        claims.length === 0
          ? 'No claim is made yet'
          : n('untrue') === 0
            ? `${sentence(plural(claims.length, 'claim'))}, ${claims.length === 1 ? 'and it holds' : 'all of which hold'}`
            : `${n('untrue')} of ${plural(claims.length, 'claim')} ${n('untrue') === 1 ? 'is' : 'are'} untrue`,
      opening:
        claims.length === 0
          ? `A claim is a statement in a note that is checked against the data${results.campaign.edition ? '' : '; the list of directives shows how one is written'}.`
          : `A claim is a statement that is checked against the data each time the site is built. ${n('changed') > 0 ? `${sentence(plural(n('changed'), 'claim'))} ${n('changed') === 1 ? 'rests' : 'rest'} on other inputs than ${n('changed') === 1 ? 'it was' : 'they were'} confirmed on. ` : ''}${n('open') > 0 ? `${sentence(plural(n('open'), 'claim'))} ${n('open') === 1 ? 'was' : 'were'} never confirmed.` : ''}`.trim(),
    }),
    groups: GROUPS.flatMap(({ id, title, of }) => {
      const some = claims.filter(of);
      return some.length > 0 ? [{ id, table: claimsTable(id, title, some, claims) }] : [];
    }),
    files: claims.length > 0 ? filesTable(claims) : null,
    stands: claims.length > 0 ? standsTable(results, claims) : null,
  };
}

function claimsTable(id: string, title: string, some: readonly Claim[], all: readonly Claim[]): Table {
  const changed = some.some(isChanged);
  return {
    id,
    ...tableLinks(claimsPath, id),
    caption: `${title}: ${plural(some.length, 'claim')}`,
    columns: [
      { title: 'no.', kind: 'text' },
      { title: 'claim', kind: 'text' },
      { title: 'where', kind: 'text' },
      { title: 'quantity', kind: 'text' },
      { title: 'true', kind: 'text' },
      { title: 'now', kind: 'text' },
      { title: changed ? 'mark, and that confirmed' : 'mark', kind: 'text' },
    ],
    rows: some.map((claim): Cell[] => {
      const { note, value, range, mark, confirmedOn, text, anchor, line, holds } = claim;
      const { of, against, reading } = value;
      const spread = spreadWords(reading);
      return [
        { text: String(all.indexOf(claim) + 1), id: claimId(claim) },
        { text, href: `${note.page}#${anchor}` },
        { text: `${note.file}:${line}` },
        {
          text: `${value.words} of ${placeText(of)}${against ? `, against ${placeText(against)}` : ''}`,
          href:
            of.run && of.lap && of.lap.ledger.length > 0
              ? lapPath(of.session.session, of.run.file, of.lap.lap)
              : sessionPath(of.session.session),
        },
        { text: range },
        {
          text: nowWords(claim),
          ...(spread ? { aside: spread } : {}),
          ...(holds ? {} : { tone: 'strong' as const }),
        },
        { text: mark, ...(isChanged(claim) ? { aside: confirmedOn! } : {}) },
      ];
    }),
    note: 'Spread: over the laps that the value is taken of. The mark tells the inputs from any others.',
  };
}

/** Every file with its claims. */
function filesOf(claims: readonly Claim[]): [file: string, { hash: string; claims: Claim[] }][] {
  const files = new Map<string, { hash: string; claims: Claim[] }>();
  for (const claim of claims)
    for (const [file, hash] of Object.entries(claim.value.reading.stands)) {
      const of = files.get(file) ?? { hash, claims: [] };
      of.claims.push(claim);
      files.set(file, of);
    }
  return [...files].sort(([a], [b]) => (a < b ? -1 : 1));
}

const shortHash = (hash: string): string => (/^[0-9a-f]{64}$/.test(hash) ? hash.slice(0, 8) : hash);

const filesTable = (claims: readonly Claim[]): Table => ({
  id: 'files',
  ...tableLinks(claimsPath, 'stands'),
  caption: 'Which claims stand on which file',
  columns: [
    { title: 'file', kind: 'text' },
    { title: 'SHA-256', kind: 'text' },
    { title: 'claims', kind: 'text' },
  ],
  rows: filesOf(claims).map(([file, { hash, claims: of }]): Cell[] => [
    { text: file },
    { text: shortHash(hash) },
    { text: numbers(of.map((claim) => claims.indexOf(claim) + 1)) },
  ]),
});

/** `1, 4 to 7, 9`. */
function numbers(sorted: readonly number[]): string {
  const spans: [from: number, to: number][] = [];
  for (const n of sorted) {
    const last = spans.at(-1);
    if (last && last[1] === n - 1) last[1] = n;
    else spans.push([n, n]);
  }
  return spans
    .map(([from, to]) => (from === to ? from : to === from + 1 ? `${from}, ${to}` : `${from} to ${to}`))
    .join(', ');
}

function standsTable(results: Results, claims: readonly Claim[]): Table {
  return {
    id: 'stands',
    ...tableLinks(claimsPath, 'stands'),
    caption: 'Which claims stand on which file',
    columns: [
      { title: 'file', kind: 'text' },
      { title: 'SHA-256', kind: 'text' },
      { title: 'claim', kind: 'text' },
      { title: 'state', kind: 'text' },
    ],
    rows: filesOf(claims).flatMap(([file, { hash, claims: of }]) =>
      of.map((claim): Cell[] => {
        const session = results.session(file.split('/')[0] ?? '');
        return [
          { text: file, ...(session ? { href: sessionPath(session.session) } : {}) },
          { text: shortHash(hash) },
          { text: claim.text, href: `#${claimId(claim)}` },
          { text: claim.holds ? (isChanged(claim) ? 'changed' : 'holds') : 'untrue' },
        ];
      }),
    ),
  };
}
