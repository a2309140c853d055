import type { Results } from '../readResults.ts';
import type { Claim } from './claim.ts';
import type { Given } from './given.ts';
import type { Note } from './note.ts';
import type { Place } from './place.ts';
import type { Key } from './quantity.ts';
import type { Html } from './tree.ts';

/** A figure or a table that a note asks for; drawn by whoever knows the pages that have it. */
export interface Wanted {
  readonly kind: 'figure' | 'table';
  /** A word of figures or tables. */
  readonly name: string;
  /** Null where it shows the whole campaign. */
  readonly of: Place | null;
  readonly against: Place | null;
  readonly corner: string | null;
}

/** What a directive turns into. */
export type Part = { readonly html: (label: Html[]) => Html[] } | { readonly wanted: Wanted };

/** What a directive is used with. */
export interface Use {
  readonly given: Given;
  /** What stands between its brackets or its lines, as text. */
  readonly label: string;
  readonly line: number;
  readonly span: readonly [from: number, to: number];
  readonly note: Note;
  readonly results: Results;
  /** Claims of the note met so far. */
  readonly claims: Claim[];
}

/** Names of things of this campaign, for examples that are alive. */
export interface ExampleNames {
  readonly session: string;
  /** An earlier session to compare with; the same one where there is no other. */
  readonly before: string;
  readonly lap: string;
  readonly corner: string;
  readonly week: string;
}

/** Something that a note can hold beside Markdown. A new one is one such object and its line in directives/list.ts. */
export interface Directive {
  readonly name: string;
  /** `sentence`: `:name[…]{…}`; `alone`: `::name{…}` on a line; `around`: `:::name`, paragraphs, `:::`. */
  readonly form: 'sentence' | 'alone' | 'around';
  readonly means: string;
  readonly keys: readonly Key[];
  example(names: ExampleNames): string;
  /** @throws Mistake */
  read(use: Use): Part;
}
