import type { ProblemCode } from '../../problem.ts';
import { CIRCUIT } from './circuit.ts';
import { CLOCK } from './clock.ts';
import { COLUMNS } from './columns.ts';
import { CSV } from './csv.ts';
import { FILES } from './files.ts';
import { GPX } from './gpx.ts';
import type { Guide } from './guideOf.ts';
import { MILESTONES } from './milestones.ts';
import { NOTES } from './notes.ts';
import { POSITION } from './position.ts';
import { SESSION_FILE } from './sessionFile.ts';

/** What each code means, what it costs, an example of it and the cure. */
export const GUIDE: Readonly<Record<ProblemCode, Guide>> = {
  ...FILES,
  ...SESSION_FILE,
  ...COLUMNS,
  ...CSV,
  ...GPX,
  ...CLOCK,
  ...POSITION,
  ...CIRCUIT,
  ...MILESTONES,
  ...NOTES,
};
