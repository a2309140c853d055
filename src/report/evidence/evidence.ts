import type { EditionRecord } from '../../campaign/editions.ts';
import { pageOf } from '../pageOf.ts';
import { evidencePath, milestonePath, tableLinks } from '../paths.ts';
import type { Results } from '../readResults.ts';
import type { Page, Table } from '../report.ts';
import { count, listWords, MISSING, number, plural, sentence, signed } from '../words.ts';
import { movedGap, ROUNDING_S } from './moved.ts';
import { editionName, editionPath, type Pair, pairsOf } from './pairs.ts';
import { why } from './why.ts';

/** Every edition, and how to verify it. */
export interface EvidenceReport extends Page {
  readonly kind: 'evidence';
  readonly editions: Table | null;
  readonly fingerprints: Table | null;
  readonly moved: Table | null;
  /** Commands that check an edition, with what each does. */
  readonly steps: readonly { readonly text: string; readonly command: string }[];
}

const MEGABYTE = 1e6;

/** Everything the evidence page says: in the live site of all editions, in an edition of itself. */
export function evidenceReport(results: Results): EvidenceReport {
  const { editions } = results;
  const own = results.campaign.edition;
  const milestones = new Set(editions.map(({ milestone }) => milestone)).size;
  const title = results.campaign.milestones.find(({ id }) => id === own?.milestone)?.title ?? own?.milestone ?? '';
  const pairs = pairsOf(editions);
  return {
    kind: 'evidence',
    ...pageOf(results, {
      path: evidencePath,
      name: 'Evidence',
      kicker: [{ text: 'Evidence' }],
      headline: own
        ? `Edition ${own.number} of ${title}`
        : editions.length === 0
          ? 'No edition is published yet'
          : `${sentence(plural(editions.length, 'edition'))} of ${plural(milestones, 'milestone')}`,
      opening: own
        ? `This report is frozen. The folder that it lies in holds what people wrote for it, the logs or, where they were not published, their SHA-256, and the source of the tool that made it: whoever has the logs can compute every figure again.${own.evidenceOnly ? ' Of the campaign it knows only the sessions that its milestone stands on.' : ''}`
        : editions.length === 0
          ? 'An edition is a milestone’s report frozen together with its logs, its notes and the tool’s own source; `gapbook publish` makes one.'
          : 'An edition is a milestone’s report frozen on its day, with what it was made from, logs or their SHA-256, and the source of the tool that made it. None is ever written over: a later one stands beside it and says what moved.',
    }),
    editions: editions.length > 0 ? editionsTable(results, editions) : null,
    fingerprints: editions.length > 0 ? fingerprintsTable(editions) : null,
    moved: pairs.length > 0 ? movedTable(pairs) : null,
    steps: [
      {
        text: 'Every byte, then every figure from the logs in the edition; NUMBER is its fingerprint as it was noted when it was published:',
        command: 'gapbook verify FOLDER --fingerprint NUMBER',
      },
      {
        text: 'An edition that was published without its logs, for whoever has them:',
        command: 'gapbook verify FOLDER --sessions LOGS',
      },
      {
        text: 'The bytes alone, without any tool of ours, in the folder of the edition:',
        command: 'sha512sum --check --quiet tagmanifest-sha512.txt manifest-sha512.txt',
      },
    ],
  };
}

function editionsTable(results: Results, editions: readonly EditionRecord[]): Table {
  const known = new Set(results.campaign.milestones.map(({ id }) => id));
  return {
    id: 'editions',
    ...tableLinks(evidencePath, 'editions'),
    caption: 'Editions',
    columns: [
      { title: 'edition', kind: 'text' },
      { title: 'data to', kind: 'text' },
      { title: 'laps', kind: 'number' },
      { title: 'median gap', kind: 'number', unit: 's' },
      { title: 'least gap', kind: 'number', unit: 's' },
      { title: 'method', kind: 'number' },
      { title: 'tool', kind: 'text' },
      { title: 'logs', kind: 'text' },
      { title: 'size', kind: 'number', unit: 'MB' },
      { title: 'milestone now', kind: 'text' },
    ],
    rows: editions.map((edition) => [
      { text: sentence(editionName(edition)), href: editionPath(edition) },
      { text: edition.asOf },
      { text: count(edition.figures?.laps) },
      { text: signed(edition.figures?.medianGapS, 3) },
      { text: signed(edition.figures?.bestGapS, 3) },
      { text: count(edition.method) },
      { text: edition.tool },
      {
        text: edition.logs
          ? edition.withheld.length > 0
            ? `inside, without ${listWords(edition.withheld)}`
            : 'inside'
          : 'kept elsewhere',
      },
      { text: number(edition.bytes / MEGABYTE, 1) },
      known.has(edition.milestone)
        ? { text: 'live page', href: milestonePath(edition.milestone) }
        : { text: MISSING, tone: 'quiet' },
    ]),
    note: 'Gaps are of the laps that the milestone stands on, as that edition has them.',
  };
}

function fingerprintsTable(editions: readonly EditionRecord[]): Table {
  return {
    id: 'fingerprints',
    ...tableLinks(evidencePath, 'fingerprints'),
    caption: 'Fingerprints',
    columns: [
      { title: 'edition', kind: 'text' },
      { title: 'SHA-256 of its tagmanifest-sha512.txt', kind: 'text' },
    ],
    rows: editions.map((edition) => [{ text: sentence(editionName(edition)) }, { text: edition.fingerprint }]),
    note: 'Whoever can change a file of an edition can change its lists of files too, but not this number on another machine.',
  };
}

function movedTable(pairs: readonly Pair[]): Table {
  return {
    id: 'moved',
    ...tableLinks(evidencePath, 'moved'),
    caption: 'What moved, and what had changed',
    columns: [
      { title: 'from one edition to another', kind: 'text' },
      { title: 'median gap moved', kind: 'number', unit: 's' },
      { title: 'changed', kind: 'text' },
    ],
    rows: pairs.map(({ before, now, path }) => {
      const moved = movedGap(before, now);
      const changed = why(before, now).flatMap(({ kind, changed: what }) => (what === null ? [] : [kind]));
      return [
        {
          text:
            before.milestone === now.milestone
              ? `Edition ${before.number} to edition ${now.number} of ${now.title}`
              : `${sentence(editionName(before))} to ${editionName(now)}`,
          href: path,
        },
        moved === null
          ? { text: MISSING, tone: 'quiet' as const }
          : {
              text: signed(moved, 3),
              tone:
                Math.abs(moved) < ROUNDING_S ? ('quiet' as const) : moved > 0 ? ('loss' as const) : ('gain' as const),
            },
        { text: changed.length > 0 ? listWords(changed) : 'nothing' },
      ];
    }),
  };
}
