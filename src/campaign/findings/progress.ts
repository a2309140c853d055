import type { SessionResult } from '../results.ts';

type Told = Pick<SessionResult, 'stage' | 'conditions'>;

const surfaceOf = (conditions: Readonly<Record<string, string>> | undefined): string => {
  const surface = conditions?.['surface']?.trim().toLowerCase() ?? '';
  return surface === '' ? 'dry' : surface;
};

/**
 * Why a session with counted laps says nothing about how the robot comes on: it was not ridden on the track, or not on
 * the surface that the reference lap was ridden on (dry where nothing is noted). Capped laps and laps with emulated
 * channels are not counted in the first place.
 *
 * @param reference conditions of the session of the reference lap; null where it is not known
 * @returns a few words; empty where it does say something
 */
export function notProgress({ stage, conditions }: Told, reference: Told['conditions'] | null): string {
  if (stage !== 'track') return `a ${stage} session`;
  const [own, other] = [surfaceOf(conditions), surfaceOf(reference ?? undefined)];
  return own === other ? '' : `a ${own} surface, the reference rode on a ${other} one`;
}
