import type { EditionRecord } from '../../campaign/editions.ts';
import { slug } from '../paths.ts';

/** Two editions to hold side by side, the earlier first. */
export interface Pair {
  readonly before: EditionRecord;
  readonly now: EditionRecord;
  /** Site path of their page. */
  readonly path: string;
  /** Last part of that path, without its ending. */
  readonly name: string;
}

/** Each edition of a milestone with the one before it, and the newest of each milestone with that of the milestone before. */
export function pairsOf(editions: readonly EditionRecord[]): Pair[] {
  const milestones = new Map<string, EditionRecord[]>();
  for (const edition of editions) {
    const of = milestones.get(edition.milestone) ?? [];
    of.push(edition);
    milestones.set(edition.milestone, of);
  }
  const own = [...milestones.values()].flatMap((of) => of.slice(1).map((now, i) => pair(of[i]!, now)));
  const newest = [...milestones.values()]
    .map((of) => of.at(-1)!)
    .toSorted((a, b) => (a.asOf === b.asOf ? (a.milestone < b.milestone ? -1 : 1) : a.asOf < b.asOf ? -1 : 1));
  return [...own, ...newest.slice(1).map((now, i) => pair(newest[i]!, now))];
}

function pair(before: EditionRecord, now: EditionRecord): Pair {
  const name = [before, now].map(({ milestone, number }) => `${slug(milestone)}-${number}`).join('--');
  return { before, now, name, path: `moved/${name}.html` };
}

/** Where a published report lies in the live site. */
export const editionPath = ({ milestone, number }: Pick<EditionRecord, 'milestone' | 'number'>): string =>
  `editions/${slug(milestone)}/${number}/index.html`;

/** Lists by which every byte of a bag can be checked, the first of them the one that an edition is known by. */
export const CHECKSUM_FILES = ['tagmanifest-sha512.txt', 'manifest-sha512.txt'] as const;

/** Where such a list of an edition lies in the live site: beside its report, which stays as it was published. */
export const checksumsPath = (
  { milestone, number }: Pick<EditionRecord, 'milestone' | 'number'>,
  file: (typeof CHECKSUM_FILES)[number],
): string => `editions/${slug(milestone)}/${number}-checksums/${file}`;

/** `edition 2 of Within twelve seconds`. */
export const editionName = ({ title, number }: Pick<EditionRecord, 'title' | 'number'>): string =>
  `edition ${number} of ${title}`;
