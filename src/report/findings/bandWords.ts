import type { BandPlace } from '../../campaign/findings/schema.ts';
import { percent, plural } from '../words.ts';

/** Where a time lies among the reference rider's own laps, in a sentence; empty where there are too few of them. */
export function bandWords(band: BandPlace, subject: string): string {
  if (band.verdict === 'too few' || band.faster === null) return '';
  const rider = `the reference rider’s own ${plural(band.n, 'lap')}`;
  const chance = `a further lap of that rider would itself lie outside their range in ${percent(band.outsideByChance)} of cases`;
  if (band.verdict === 'slower than all') return `${subject} is slower than all of ${rider}; ${chance}.`;
  if (band.verdict === 'faster than all') return `${subject} is faster than all of ${rider}; ${chance}.`;
  return `${subject} lies among ${rider}: ${percent(band.faster)} of them are faster (of all that rider’s laps ${percent(band.low)} to ${percent(band.high)} would be, 90\u202f% interval).`;
}
