import type { GuidePart } from './guideOf.ts';
import { log, session } from './sheets.ts';

type Codes = 'HEADER_MISSING' | 'CELL_UNREADABLE' | 'ROW_RAGGED' | 'QUOTE_OPEN' | 'HEADING_TWICE' | 'HEADING_REPEATED';

const HEADING = 'time [s],speed [m/s]';
const NAMED = session({ columns: '\n  time: { from: column 1, unit: "s" }\n  speed: { from: column 2, unit: "m/s" }' });

/** Lines and cells of a CSV file. */
export const CSV: GuidePart<Codes> = {
  HEADER_MISSING: {
    severities: ['warn'],
    meaning:
      'The first line that fits the rows holds numbers already, so nothing says what the columns are. They are called `column 1`, `column 2` and so on, and can be named by that in the session file.',
    cost: 'Columns that nobody named are not used. If they are named, nothing is lost as long as the logger keeps their order, which the file cannot show.',
    before: [NAMED, log('0.00,50.6', '0.02,50.7', '0.04,50.7')],
    cure: 'Switch the heading line on in the logger’s export. It replaces the names in the session file.',
    after: [session(), log(HEADING, '0.00,50.6', '0.02,50.7', '0.04,50.7')],
    acceptable: true,
    accept: 'Reasonable where the logger cannot write headings and the columns are named in the session file.',
  },
  CELL_UNREADABLE: {
    severities: ['stop', 'warn', 'note'],
    meaning:
      'Cells of a column are not numbers. Words for nothing, such as `n/a` or `-`, are a note; anything else is a warning with an example, its line and how many there are. In a table of points for a new circuit it stops.',
    cost: 'Each such cell counts as missing. Single ones are bridged; a channel with many has holes, and measures that fall into a hole are left out.',
    before: [log(HEADING, '0.00,50.6', '0.02,ERR3', '0.04,50.7', '0.06,50.7')],
    cure: 'Look at the lines in the logger’s export and export again, or leave the cell empty, which says the same without a doubt. If every number is refused, the decimal sign may be a comma: `decimal: ","`.',
    after: [log(HEADING, '0.00,50.6', '0.02,', '0.04,50.7', '0.06,50.7')],
    acceptable: true,
    accept: 'Reasonable where the logger marks a known state so, such as a sensor in its warm-up.',
  },
  ROW_RAGGED: {
    severities: ['warn'],
    meaning:
      'Rows have more or fewer cells than the heading. Empty cells at the end of a line do not count. Which number belongs to which channel cannot be known in such a row.',
    cost: 'These rows are set aside. A few are bridged; a hole that is too long for the speed makes the lap invalid, with the hole as the reason.',
    before: [log(HEADING, '0.00,50.6', '0.02,50.7,50.7', '0.04,50.7', '0.06,50.8')],
    cure: 'Look at the line that is named. A thousands separator, a decimal comma among commas or a free text without quotes are the usual causes: change the export.',
    after: [log(HEADING, '0.00,50.6', '0.02,50.7', '0.04,50.7', '0.06,50.8')],
    acceptable: true,
    accept: 'Reasonable for a few damaged rows in a log that cannot be had again.',
  },
  QUOTE_OPEN: {
    severities: ['warn'],
    meaning:
      'A cell begins with a quotation mark and no second one closes it. Line breaks within quotes are allowed, so without care one open quote would swallow the rest of the log; only the row in which it opens is given up.',
    cost: 'The row is set aside, as one with a wrong number of cells is.',
    before: [log(`${HEADING},remark`, '0.00,50.6,', '0.02,50.7,"pit board', '0.04,50.7,', '0.06,50.8,')],
    cure: 'Close the quote, or take remarks out of the export. A quotation mark within a quoted cell is written twice.',
    after: [log(`${HEADING},remark`, '0.00,50.6,', '0.02,50.7,"pit board"', '0.04,50.7,', '0.06,50.8,')],
    acceptable: true,
    accept: 'Reasonable for a few rows in a log that cannot be had again.',
  },
  HEADING_TWICE: {
    severities: ['note'],
    meaning:
      'Several columns have exactly the same heading. The first keeps it; the second is called `speed (2) [m/s]` here, and so on, so that each can be named.',
    cost: 'Only the first takes part. If the second is the one you want, the report rests on the wrong sensor without looking wrong.',
    before: [log('time [s],speed [m/s],speed [m/s]', '0.00,50.6,50.4', '0.02,50.7,50.5', '0.04,50.7,50.5')],
    cure: 'Give each column a heading of its own in the export. To take another in the meantime: `columns: { speed: { from: "speed (2)", unit: "m/s" } }`.',
    after: [log('time [s],speed [m/s],wheel speed [m/s]', '0.00,50.6,50.4', '0.02,50.7,50.5', '0.04,50.7,50.5')],
    acceptable: true,
    accept: 'Reasonable where the first column is the right one and the logger cannot be changed.',
  },
  HEADING_REPEATED: {
    severities: ['note'],
    meaning:
      'The heading stands among the rows again. Loggers write it whenever they start, so the file is probably several recordings in one.',
    cost: 'The heading lines are passed over and nothing is lost. If the clock was set back as well, that is said separately, and laps across the seam do not count.',
    before: [log(HEADING, '0.00,50.6', '0.02,50.7', HEADING, '0.04,50.7', '0.06,50.8')],
    cure: 'Nothing has to be done. To be rid of the note, give the recordings as runs of their own, or take the line out of a copy.',
    after: [log(HEADING, '0.00,50.6', '0.02,50.7', '0.04,50.7', '0.06,50.8')],
    acceptable: true,
    accept: 'Reasonable at any time, with the cause as the reason.',
  },
};
