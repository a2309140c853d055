import type { LedgerCell } from '../../campaign/results.ts';

type Phase = LedgerCell['phase'];

export const PHASE_LETTERS: Readonly<Record<Phase, 'B' | 'A' | 'D'>> = { braking: 'B', apex: 'A', drive: 'D' };

/** Fill of a phase's blocks: hatched for braking, plain for the apex, dotted for drive; warm for a loss, cool for a gain. */
export const texture = (id: string, phase: Phase, loses: boolean): string =>
  phase === 'apex' ? inkOf(loses) : `url(#${id}-${phase}-${loses ? 'loss' : 'gain'})`;

export const inkOf = (loses: boolean): string => (loses ? 'var(--loss)' : 'var(--gain)');

/** The patterns behind `texture`, for the `<defs>` of one drawing. */
export function textures(id: string): string {
  return ['loss', 'gain']
    .flatMap((ink) => {
      const ground = `<rect width="6" height="6" fill="var(--${ink})" fill-opacity=".16"/>`;
      return [
        `<pattern id="${id}-braking-${ink}" width="5" height="6" patternUnits="userSpaceOnUse" patternTransform="rotate(40)">${ground}<path d="M1,0V6" stroke="var(--${ink})" stroke-width="1.7"/></pattern>`,
        `<pattern id="${id}-drive-${ink}" width="5" height="5" patternUnits="userSpaceOnUse">${ground}<circle cx="2.5" cy="2.5" r="1" fill="var(--${ink})"/></pattern>`,
      ];
    })
    .join('');
}
