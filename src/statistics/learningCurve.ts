import { curveFit } from './curveFit.ts';

export interface LearningCurve {
  /** What the curve levels out at, its height above that at the start, and the time in which that falls to 37 %. */
  readonly levelS: number;
  readonly heightS: number;
  readonly timeConstant: number;
  readonly standardErrors: { readonly levelS: number; readonly heightS: number; readonly timeConstant: number };
}

/**
 * The exponential learning curve through a campaign, to be drawn beside the points. It is not the forecast: that mixes
 * several curves.
 *
 * @param weeks rising
 * @param gaps as long as `weeks`, s
 * @returns null for fewer than five points, where no fit settles, and where the points do not bend: then a level, a line
 * or nothing describes them, and a curve would only pretend to know where it ends
 */
export function learningCurve(weeks: readonly number[], gaps: readonly number[]): LearningCurve | null {
  const n = weeks.length;
  if (n < 5) return null;
  const [start, span] = [weeks[0]!, weeks[n - 1]! - weeks[0]!];
  const since = weeks.map((week) => week - start);
  const model = (p: readonly number[], x: number): number => p[0]! + p[1]! * Math.exp(-x / p[2]!);
  const fits = [0.15, 0.4, 1].map((share) =>
    curveFit(model, since, gaps, [gaps[n - 1]!, gaps[0]! - gaps[n - 1]!, share * span]),
  );
  const settled = fits.filter(({ converged, parameters: [, height, tau] }) => converged && height! > 0 && tau! > 0);
  const best = settled.sort((a, b) => a.squares - b.squares)[0];
  if (!best) return null;
  const [levelS, heightS, timeConstant] = best.parameters as [number, number, number];
  const [level, height, tau] = best.standardErrors as [number, number, number];
  if (tau > timeConstant || timeConstant > 3 * span) return null;
  return { levelS, heightS, timeConstant, standardErrors: { levelS: level, heightS: height, timeConstant: tau } };
}
