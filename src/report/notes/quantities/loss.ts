import type { LedgerCell } from '../../../campaign/results.ts';
import { MEDIAN_DIGITS } from '../../medians.ts';
import { overLaps } from '../overLaps.ts';
import { circuitOf, cornerOf } from '../place.ts';
import type { Quantity } from '../quantity.ts';
import { standsOf } from '../stands.ts';
import { SECONDS } from './gap.ts';

const PHASE_WORDS = ['braking', 'apex', 'drive'] as const;
const CELL_WORDS = ['straight', 'braking', 'apex', 'exit'] as const;

/** What a corner, a phase, or a phase of a corner costs. */
export const loss: Quantity = {
  name: 'loss',
  means:
    'What is lost against the reference in a corner, in a phase, or in one phase of one corner; below zero where time is gained.',
  keys: [
    { name: 'corner', means: 'the corner as the phase map names it; all of them where it is left out' },
    { name: 'phase', means: '`braking`, `apex` or `drive`; the whole corner where it is left out' },
    { name: 'cell', means: 'finer than a phase: `straight`, `braking`, `apex` or `exit`' },
  ],
  example: (corner) => `corner=${corner} phase=braking`,
  read(ask) {
    const { given, of, results } = ask;
    const corner = given.text('corner');
    const phase = given.oneOf('phase', PHASE_WORDS);
    const cell = given.oneOf('cell', CELL_WORDS);
    if (corner !== null) cornerOf(circuitOf(results, of.session), corner);
    const asked = (c: LedgerCell): boolean =>
      (corner === null || c.corner === corner) &&
      (phase === null || c.phase === phase) &&
      (cell === null || c.cell === cell);
    return overLaps(
      ask,
      SECONDS,
      standsOf(of, { reference: true, phaseMap: true }),
      ({ ledger }) => {
        const cells = ledger.filter(asked);
        if (cells.length === 0) return null;
        return {
          value: cells.reduce((sum, c) => sum + c.gapS, 0),
          // As if cells erred apart from each other; what one boundary gives to a cell it takes from the next, so less is true.
          sigma: Math.hypot(...cells.map((c) => c.sigmaS)),
        };
      },
      MEDIAN_DIGITS,
    );
  },
};
