/** How much a problem matters: `stop` fails the command unless accepted, `warn` and `note` inform. */
export type Severity = 'stop' | 'warn' | 'note';

/** Where a problem was found, as exactly as it is known. `line` counts from 1, `byte` from 0. */
export interface Place {
  readonly file: string;
  readonly line?: number;
  readonly byte?: number;
  readonly column?: string;
  readonly key?: string;
  readonly lap?: number;
}

/** Something wrong with what the user gave, as data. Words are ready to print; `code` is stable. */
export interface Problem {
  readonly code: ProblemCode;
  readonly severity: Severity;
  readonly place: Place;
  readonly found: string;
  readonly expected: string;
  readonly remedy: string;
  /** Reason given under `accept:` in the session file; an accepted problem no longer stops. */
  readonly accepted?: string;
}

/** Every code a user can meet, with its one-line meaning. A new problem is one line here and one call. */
export const PROBLEMS = {
  FILE_MISSING: 'A file that is named does not exist',
  FILE_OUTSIDE: 'A file reference leaves the folder of its session',
  FILE_UNREADABLE: 'A file exists but cannot be read',
  FORMAT_UNKNOWN: 'The content of a log is none of the formats that are read',
  FRONT_MATTER: 'The front matter is missing or is not YAML',
  KEY_UNKNOWN: 'A key is not one that is known here',
  VALUE_INVALID: 'A value is not what its key needs',
  VERSION_NUMBER: 'A version was written as a number, so digits may have been lost',
  UNIT_UNKNOWN: 'A unit is not a UCUM unit, or does not fit the channel',
  COLUMN_MISSING: 'A column that the session file names is not in the log',
  COLUMN_TWICE: 'Two columns claim the same channel',
  HEADER_MISSING: 'The log has no heading line that can be recognised',
  CELL_UNREADABLE: 'A cell is not a number',
  ROW_RAGGED: 'A row has more or fewer cells than the heading',
  QUOTE_OPEN: 'A quoted cell is not closed',
  HEADING_TWICE: 'Two columns have the same heading',
  HEADING_REPEATED: 'The heading stands among the rows again',
  ENCODING: 'A text is not in UTF-8',
  LOG_LIMIT: 'A log is larger than what is read',
  XML_ENTITY: 'An XML file defines entities of its own',
  GPX_INVALID: 'A GPX file departs from the rules of GPX 1.1',
  TIME_MISSING: 'Rows carry no stamp',
  TIME_RANGE: 'Stamps lie outside the years 1973 to 2100',
  LOG_EMPTY: 'The log has no rows',
  LOG_CUT: 'The log ends in the middle of a row',
  CHANNEL_MISSING: 'A channel that the analysis needs is not in the log',
  TIME_ORDER: 'Stamps are not in rising order',
  TIME_BACK: 'The clock went back and stayed back',
  TIME_REPEATED: 'Several rows carry the same stamp',
  POSITION_HELD: 'Positions are repeated between fixes of the receiver',
  POSITION_SIGMA: 'The uncertainty of the position is not given',
  ANTENNA_UNKNOWN: 'Where the antenna sits on the machine is not given',
  CHANNEL_IMPLAUSIBLE: 'A channel holds values that its quantity cannot have',
  AXES_UNKNOWN: 'Whether accelerations and rates are in body or level axes is not given',
  FRAME_MISSING: 'Local coordinates without the circuit that registers them',
  FRAME_RESIDUAL: 'The circuit of the log does not fit the circuit of the campaign',
  CIRCUIT_MISSING: 'The circuit of a session is not in the content folder',
  CIRCUIT_INVALID: 'A circuit file cannot be used as it is',
  GATE_NOT_CROSSED: 'A run never crosses the gate',
  PHASES_UNWRITABLE: 'The phase map could not be written beside its circuit',
  PHASES_INVALID: 'A phase map does not tile the lap',
  REFERENCE_MISSING: 'The reference lap cannot be found',
  RIDER_UNKNOWN: 'A rider is not a key of the campaign',
  LAP_UNKNOWN: 'A lap that the session file names is not in the run',
  CLOSURE: 'Speed and position disagree on how long a section took',
  PLAN_LINE: 'The planned path is measured from another line than the circuit’s',
  OFFICIAL_TIMING: 'Official timing and ours differ by more than their uncertainty',
  MILESTONE_TARGET: 'A milestone is measured against a target that the campaign does not have',
  MILESTONE_EVIDENCE: 'A milestone names evidence that is not there or cannot count',
  GATE_EVIDENCE: 'The record of a stage gate names a session that is not there',
  GATE_ORDER: 'A session was run before the gate to its stage was passed with its configuration',
  NOTE_DIRECTIVE: 'A directive of a note asks for something that cannot be had',
  NOTE_UNREADABLE: 'A note is too long or too deeply nested to be set',
  CLAIM_UNTRUE: 'The data do not bear out a claim of a note',
  CLAIM_CHANGED: 'The inputs of a claim are not those it was confirmed on',
  CLAIM_UNCONFIRMED: 'Nobody has confirmed a claim of a note yet',
} as const;

export type ProblemCode = keyof typeof PROBLEMS;

/** `file:line` or `file, byte N`, as far as known. */
export function placeText(place: Place): string {
  const parts = [place.line === undefined ? place.file : `${place.file}:${place.line}`];
  if (place.byte !== undefined) parts.push(`byte ${place.byte}`);
  if (place.column !== undefined) parts.push(`column \`${place.column}\``);
  if (place.key !== undefined) parts.push(`key \`${place.key}\``);
  if (place.lap !== undefined) parts.push(`lap ${place.lap}`);
  return parts.join(', ');
}

/** One problem as a paragraph: where, what was found, what was expected, what to do. */
export function problemText(problem: Problem): string {
  const { code, severity, place, found, expected, remedy, accepted } = problem;
  const tail = accepted === undefined ? remedy : `accepted: ${accepted}`;
  return `${severity} ${code} ${placeText(place)}\n  found ${found}\n  expected ${expected}\n  ${tail}`;
}

/** True where a problem makes a command fail. */
export const stops = (problem: Problem): boolean => problem.severity === 'stop' && problem.accepted === undefined;
