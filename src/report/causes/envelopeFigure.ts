import type { SessionResult } from '../../campaign/results.ts';
import { DriveLimit } from '../../causes/envelope.ts';
import { figureOf } from '../figureOf.ts';
import { type Boundary, envelope } from '../figures/envelope.ts';
import type { TableLinks } from '../paths.ts';
import type { Doubt, Figure, Piece } from '../report.ts';
import { count, gNumber, kmhNumber, percent, plural } from '../words.ts';

type Fitted = NonNullable<SessionResult['envelope']>;

const POINTS = 40;
/** Points near the frontier that a range of lateral use needs before pick-up is told from drive there. */
const LEAST_SUPPORT = 30;

/** What both riders have shown they can do, as a figure with the points that carry it. */
export function envelopeFigure(
  fitted: Fitted,
  own: { number: number; source: readonly Piece[]; doubts: readonly Doubt[]; links: TableLinks },
): Figure {
  const { envelope: e, lean, speed, laps } = fitted;
  const top = Math.max(...speed.map(({ toMps }) => toMps));
  const boundaries = [0.35, 0.6, 0.9].map((share) => boundaryAt(e, share * top));
  const thin = lean.filter(({ fromShare, onFrontier }) => fromShare < 0.8 && onFrontier < LEAST_SUPPORT);
  return figureOf(
    {
      id: 'envelope',
      number: own.number,
      title: 'What was shown to be possible',
      caption: `${plural(laps, 'lap')} of both riders show ${gNumber(e.tractionMps2)}\u202fg of drive and ${gNumber(e.brakingMps2)}\u202fg of braking upright, and ${gNumber(e.lateralMps2)} ± ${gNumber(1.645 * fitted.sigma.lateralMps2)}\u202fg across.${thin.length ? ` Too few points carry the drive between ${percent(thin[0]!.fromShare)} and ${percent(thin.at(-1)!.toShare)} of that: there pick-up is not told from drive.` : ''}`,
      key: 'Lines: the fitted boundary of combined acceleration at three speeds. Marks at the axes: what was ridden, by ranges of speed. A frontier of demonstrated use, not a physical limit.',
      source: own.source,
      table: {
        id: 'envelope-data',
        caption: 'Points behind the boundary of drive, by how much of the lateral limit was in use',
        columns: [
          { title: 'across', kind: 'text' },
          { title: 'points', kind: 'number' },
          { title: 'near the boundary', kind: 'number' },
        ],
        rows: lean.map((row) => [
          { text: `${percent(row.fromShare)} to ${percent(row.toShare)}` },
          { text: count(row.points) },
          { text: count(row.onFrontier) },
        ]),
        ...own.links,
        note: `Drive is at most ${Math.round(e.powerWpkg)}\u202fW/kg, which is ${gNumber(e.powerWpkg / top)}\u202fg at ${kmhNumber(top, 0)}\u202fkm/h.`,
      },
      doubts: own.doubts,
    },
    (form, id, name) => envelope(form, id, name, { boundaries, shown: speed }),
  );
}

/** The boundary at a speed, from most braking round by the lateral limit to most drive; resistance is not in it. */
function boundaryAt(e: Fitted['envelope'], speedMps: number): Boundary {
  const limit = DriveLimit.of(e);
  const energy = speedMps ** 2 / 2;
  const across = Array.from({ length: POINTS + 1 }, (_, i) => e.lateralMps2 * Math.sin((i / POINTS) * (Math.PI / 2)));
  const braking = across.map((a) => {
    const left = (1 - Math.min(1, a / e.lateralMps2) ** e.exponent) ** (1 / e.exponent);
    return [a, -e.brakingMps2 * left] as const;
  });
  const drive = across.map((a) => [a, limit.at(1, energy, a / speedMps ** 2)] as const).reverse();
  return { speedMps, points: [...braking, ...drive] };
}
