/** What a page shows, as plain data: words, numbers already written out, and drawings. Pages only set it in HTML. */

/** A stretch of text, with a link (site path) where it leads somewhere. */
export interface Piece {
  readonly text: string;
  readonly href?: string;
}

/** One cell of a table. `tone` sets a number by what it means; `noise` is one that cannot be told from noise. */
export interface Cell extends Piece {
  readonly tone?: 'loss' | 'gain' | 'noise' | 'quiet' | 'strong';
  /** Letter of a phase (B, A, D), set as a small textured tile before the text. */
  readonly phase?: 'B' | 'A' | 'D';
  /** A second, smaller value beside the first, such as a difference or a range. */
  readonly aside?: string;
  /** By which the row can be led to. */
  readonly id?: string;
}

interface Column {
  readonly title: string;
  readonly kind: 'text' | 'number';
  /** Unit under the title. */
  readonly unit?: string;
}

export interface Table {
  readonly id: string;
  readonly caption: string;
  readonly columns: readonly Column[];
  /** The first cell of a row is its heading. */
  readonly rows: readonly (readonly Cell[])[];
  readonly foot?: readonly (readonly Cell[])[];
  /** Site paths of the same numbers for machines, with all their digits. */
  readonly csv: string;
  readonly json: string;
  /** More of the same, such as the rows that there is no room for. */
  readonly more?: readonly (Piece & { readonly href: string })[];
  /** A sentence below the table. */
  readonly note?: string;
}

/** A mark on something that rests on doubtful data; it leads to the problem. */
export interface Doubt {
  readonly text: string;
  readonly href: string;
}

export interface Figure {
  readonly id: string;
  readonly number: number;
  readonly title: string;
  /** The finding in words, with the number that matters and its uncertainty. */
  readonly caption: string;
  /** How to read the drawing. */
  readonly key: string;
  /** Lap, run and hash that it was drawn from. */
  readonly source: readonly Piece[];
  /** Markup of the drawing, one for each form that the style sheet chooses from. */
  readonly drawings: readonly string[];
  readonly table: Table;
  /** The page has the table already, under its id. */
  readonly tableElsewhere?: boolean;
  readonly doubts: readonly Doubt[];
}

/** Term and definition pairs, such as where a lap came from. */
export type Particulars = readonly (readonly [term: string, description: readonly Piece[]])[];

/** What every page has. */
export interface Page {
  /** Site path. */
  readonly path: string;
  /** Document title, most particular part first. */
  readonly title: string;
  /** Running head: campaign, page, date of the data. */
  readonly running: {
    readonly campaign: string;
    readonly page: string;
    readonly asOf: string | null;
    /** Name of the frozen edition that the page belongs to; null on the living site. */
    readonly edition: string | null;
  };
  readonly nav: readonly (Piece & { readonly current?: boolean })[];
  /** The small line above the headline: what kind of page, of what. */
  readonly kicker: readonly Piece[];
  readonly headline: string;
  readonly opening: string;
  readonly colophon: string;
}
