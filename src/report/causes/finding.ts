import { gNumber, kmhNumber, metres, number, percent, plural } from '../words.ts';
import type { Told } from './told.ts';

/**
 * What a rider did otherwise, as a plain sentence without its subject: `brakes 12 m early at equal deceleration`.
 *
 * @returns null where the numbers say nothing that goes with the seconds
 */
export function finding({ key, fact, gapS }: Pick<Told, 'key' | 'fact' | 'gapS'>): string | null {
  const f = fact ?? {};
  const say = (name: string): number => f[name] ?? Number.NaN;
  const loses = gapS > 0;
  /** Only where the difference goes the way the seconds go. */
  const where = (more: boolean, text: string): string | null => (more === loses ? text : null);
  if (key === 'onset' && 'earlyM' in f) {
    const early = say('earlyM');
    if (Math.abs(early) < 0.5) return 'builds its braking up otherwise, at equal deceleration';
    return where(early > 0, `brakes ${metres(Math.abs(early))} ${early > 0 ? 'early' : 'late'} at equal deceleration`);
  }
  if (key === 'intensity' && 'decelerationMps2' in f)
    return where(
      say('decelerationMps2') < say('referenceMps2'),
      `brakes at ${gNumber(say('decelerationMps2'))}\u202fg where the reference brakes at ${gNumber(say('referenceMps2'))}\u202fg`,
    );
  if (key === 'grip' && 'lateralMps2' in f)
    return where(
      say('lateralMps2') < say('referenceMps2'),
      `corners with ${gNumber(say('lateralMps2'))}\u202fg across, the reference with ${gNumber(say('referenceMps2'))}\u202fg`,
    );
  if (key === 'grip' && 'keptShare' in f)
    return where(
      say('keptShare') < say('referenceShare'),
      `keeps ${percent(say('keptShare'))} of its speed through the bend, the reference ${percent(say('referenceShare'))}`,
    );
  if (key === 'pickUp' && 'lateM' in f)
    return where(
      say('lateM') > 0,
      `picks up ${metres(Math.abs(say('lateM')), 1)} ${say('lateM') > 0 ? 'later' : 'sooner'}`,
    );
  if (key === 'drive' && 'use' in f)
    return where(
      say('use') < say('referenceUse'),
      `uses ${percent(say('use'))} of the drive that speed and lean leave, the reference ${percent(say('referenceUse'))}`,
    );
  if (key === 'shifts' && 'lostMps' in f)
    return where(
      say('lostMps') > say('referenceLostMps'),
      `loses ${kmhNumber(say('lostMps'))}\u202fkm/h in ${plural(say('shifts'), 'gear change')}, the reference ${kmhNumber(say('referenceLostMps'))} in ${number(say('referenceShifts'))}`,
    );
  if (key === 'lineLength' && 'longerM' in f) {
    const longer = say('longerM');
    return where(longer > 0, `rides ${metres(Math.abs(longer), 1)} ${longer > 0 ? 'further' : 'less'}`);
  }
  if (key === 'lineShape' && 'radiusM' in f)
    return where(
      say('radiusM') < say('referenceRadiusM'),
      `rides a radius of ${metres(say('radiusM'), 1)}, the reference ${metres(say('referenceRadiusM'), 1)}`,
    );
  if (key === 'carry' && 'slowerMps' in f) {
    const slower = say('slowerMps');
    return where(
      slower > 0,
      `comes over the gate ${kmhNumber(Math.abs(slower))}\u202fkm/h ${slower > 0 ? 'slower' : 'faster'}`,
    );
  }
  return null;
}
