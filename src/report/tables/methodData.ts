import { METHOD_CONSTANTS } from '../../campaign/constants.ts';
import type { Results } from '../readResults.ts';
import { trimmed } from './csv.ts';
import type { DataTable } from './dataTable.ts';

/** The constants of the method. */
export const constantsData = (): DataTable => ({
  columns: ['name', 'value', 'unit', 'meaning', 'used in'],
  rows: METHOD_CONSTANTS.map((c) => [c.name, c.value, c.unit, c.meaning, c.where]),
});

/** The circuits of a campaign with their phase maps and reference laps. */
export const circuitsData = ({ campaign }: Results): DataTable => ({
  columns: [
    'circuit',
    'name',
    'length [m]',
    'corners',
    'phase map',
    'reference session',
    'reference run',
    'reference lap',
    'reference time [s]',
    'reference laps',
  ],
  rows: campaign.circuits.map((c) => [
    c.id,
    c.name,
    trimmed(c.lengthM, 3),
    c.corners.length,
    c.phaseMap,
    c.reference?.session ?? null,
    c.reference?.run ?? null,
    c.reference?.lap ?? null,
    trimmed(c.reference?.timeS, 4),
    c.referenceBand?.laps ?? 0,
  ]),
});
