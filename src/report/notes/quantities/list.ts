import type { Quantity } from '../quantity.ts';
import { cause } from './cause.ts';
import { counts } from './counts.ts';
import { gap } from './gap.ts';
import { loss } from './loss.ts';
import { execution, plan } from './plan.ts';
import { technique } from './technique.ts';
import { time } from './time.ts';
import { verdicts } from './verdicts.ts';
import { said } from './words.ts';

/** Everything that a note can quote or claim. */
export const QUANTITIES: readonly Quantity[] = [
  gap,
  time,
  loss,
  cause,
  plan,
  execution,
  ...technique,
  ...counts,
  ...verdicts,
  ...said,
];
