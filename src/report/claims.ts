import { claimsOf } from './notes/checkedNotes.ts';
import { type Claim, isChanged } from './notes/claim.ts';
import { claimId, nowWords } from './notes/directives/claim.ts';
import { placeText } from './notes/place.ts';
import { spreadWords } from './notes/written.ts';
import { pageOf } from './pageOf.ts';
import { claimsPath, lapPath, sessionPath, tableLinks } from './paths.ts';
import type { Results } from './readResults.ts';
import type { Cell, Page, Particulars, Piece, Table } from './report.ts';
import { plural, sentence } from './words.ts';

/** One claim with everything that it stands on. */
interface ClaimEntry {
  readonly id: string;
  readonly text: string;
  /** `untrue`, `changed`, `not confirmed`, `holds`. */
  readonly states: readonly string[];
  readonly particulars: Particulars;
}

/** Every claim of the notes. */
export interface ClaimsReport extends Page {
  readonly kind: 'claims';
  readonly groups: readonly { readonly id: string; readonly title: string; readonly claims: readonly ClaimEntry[] }[];
  /** Which claims stand on which file. */
  readonly files: Table | null;
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
          ? 'A claim is a statement in a note that is checked against the data; the list of directives shows how one is written.'
          : `A claim is a statement that is checked against the data each time the site is built. ${n('changed') > 0 ? `${sentence(plural(n('changed'), 'claim'))} ${n('changed') === 1 ? 'rests' : 'rest'} on other inputs than ${n('changed') === 1 ? 'it was' : 'they were'} confirmed on. ` : ''}${n('open') > 0 ? `${sentence(plural(n('open'), 'claim'))} ${n('open') === 1 ? 'was' : 'were'} never confirmed.` : ''}`.trim(),
    }),
    groups: GROUPS.flatMap(({ id, title, of }) => {
      const some = claims.filter(of);
      return some.length > 0 ? [{ id, title: `${title} (${some.length})`, claims: some.map(entry) }] : [];
    }),
    files: claims.length > 0 ? filesTable(results, claims) : null,
  };
}

function entry(claim: Claim): ClaimEntry {
  const { note, value, range, mark, confirmedOn, holds, text, anchor, line } = claim;
  const { of, against, quantity, reading } = value;
  const spread = spreadWords(reading);
  const place = (p: NonNullable<typeof against>): Piece => ({
    text: placeText(p),
    href:
      p.run && p.lap && p.lap.ledger.length > 0
        ? lapPath(p.session.session, p.run.file, p.lap.lap)
        : sessionPath(p.session.session),
  });
  return {
    id: claimId(claim),
    text,
    states: [
      ...(holds ? [] : ['untrue']),
      ...(isChanged(claim) ? ['changed'] : []),
      ...(confirmedOn === null ? ['not confirmed'] : []),
      ...(holds && confirmedOn === mark ? ['holds'] : []),
    ],
    particulars: [
      ['Stands in', [{ text: note.title, href: `${note.page}#${anchor}` }, { text: `, ${note.file}:${line}` }]],
      [
        'Quantity',
        [{ text: `${quantity.name} of ` }, place(of), ...(against ? [{ text: ' against ' }, place(against)] : [])],
      ],
      ['True from', [{ text: range }]],
      ['Now', [{ text: `${nowWords(claim)}${spread ? ` (${spread})` : ''}` }]],
      [
        'Inputs',
        [
          {
            text: Object.entries(reading.stands)
              .sort(([a], [b]) => (a < b ? -1 : 1))
              .map(([file, hash]) => `${file} (${hash.slice(0, 8)})`)
              .join(', '),
          },
        ],
      ],
      [
        'Mark',
        [
          {
            text: `${mark}${confirmedOn === null ? '' : confirmedOn === mark ? ', as confirmed' : `; confirmed on ${confirmedOn}`}`,
          },
        ],
      ],
    ],
  };
}

function filesTable(results: Results, claims: readonly Claim[]): Table {
  const files = new Map<string, { hash: string; claims: Claim[] }>();
  for (const claim of claims)
    for (const [file, hash] of Object.entries(claim.value.reading.stands)) {
      const of = files.get(file) ?? { hash, claims: [] };
      of.claims.push(claim);
      files.set(file, of);
    }
  const rows = [...files]
    .sort(([a], [b]) => (a < b ? -1 : 1))
    .flatMap(([file, { hash, claims: of }]) =>
      of.map((claim): Cell[] => {
        const session = results.session(file.split('/')[0] ?? '');
        return [
          { text: file, ...(session ? { href: sessionPath(session.session) } : {}) },
          { text: /^[0-9a-f]{64}$/.test(hash) ? hash.slice(0, 8) : hash },
          { text: claim.text, href: `#${claimId(claim)}` },
          {
            text: claim.holds ? (isChanged(claim) ? 'changed' : 'holds') : 'untrue',
            ...(claim.holds ? {} : { tone: 'strong' as const }),
          },
        ];
      }),
    );
  return {
    id: 'files',
    ...tableLinks(claimsPath, 'files'),
    caption: 'Which claims stand on which file',
    columns: [
      { title: 'file', kind: 'text' },
      { title: 'SHA-256', kind: 'text' },
      { title: 'claim', kind: 'text' },
      { title: 'state', kind: 'text' },
    ],
    rows,
  };
}
