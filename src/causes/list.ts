import { carry } from './carry.ts';
import type { Cause } from './cause.ts';
import { drive } from './drive.ts';
import { grip } from './grip.ts';
import { intensity } from './intensity.ts';
import { lineLength } from './lineLength.ts';
import { lineShape } from './lineShape.ts';
import { machineParity } from './machineParity.ts';
import { onset } from './onset.ts';
import { pickUp } from './pickUp.ts';
import { residual } from './residual.ts';
import { shifts } from './shifts.ts';

/** Every cause that a corner's gap is split into, in the order of the tables. A new cause is a file and a line here. */
const LIST = [
  lineLength,
  lineShape,
  onset,
  intensity,
  grip,
  pickUp,
  drive,
  shifts,
  carry,
  machineParity,
  residual,
] as const;

export type CauseKey = (typeof LIST)[number]['key'];
export const CAUSES: readonly Cause<CauseKey>[] = LIST;
