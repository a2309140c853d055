import { stationAxis } from '../../report/figures/axis.ts';
import { label, one, textWidth } from '../../report/figures/drawing.ts';
import { metres } from '../../report/words.ts';
import { MODEL_M } from './cursor.ts';

/** A drawing that can show a station, and tell which one is pointed at. Coordinates are those of the drawing. */
export interface Marked {
  readonly svg: SVGSVGElement;
  /** Markup of the mark at a station. */
  mark(stationM: number): string;
  stationAt(x: number, y: number): number;
}

const sizeOf = (svg: SVGSVGElement): { width: number; height: number } => svg.viewBox.baseVal;

/** A drawing over stations: a hair line from top to bottom, and the station at its foot among the axis’s numbers. */
export function alongAxis(svg: SVGSVGElement, lengthM: number): Marked {
  const { width, height } = sizeOf(svg);
  const axis = stationAxis({ name: svg.classList.contains('narrow') ? 'narrow' : 'wide', width }, lengthM);
  return {
    svg,
    mark(stationM) {
      const x = axis.x(stationM);
      const text = metres(stationM, lengthM < MODEL_M ? 1 : 0);
      const half = textWidth(text) / 2;
      const middle = Math.min(Math.max(x, half), width - half);
      return `<path d="M${one(x)},17V${one(height - 21)}" stroke="currentColor"/>${label(middle, height - 9, text, { tone: 'strong' })}`;
    },
    stationAt: (x) => ((x - axis.left) / (axis.right - axis.left)) * lengthM,
  };
}

/** Places looked at along the line to find the one nearest to the pointer. */
const PLACES = 600;

/**
 * The circuit from above: a ring on the line. The road is drawn from the gate once round, so a station lies at its
 * share of the road's length.
 */
export function fromAbove(svg: SVGSVGElement, lengthM: number): Marked | null {
  const road = svg.querySelector<SVGPathElement>('path[stroke="var(--road)"]');
  if (!road) return null;
  let found: readonly DOMPoint[] = [];
  const total = road.getTotalLength();
  const places = (): readonly DOMPoint[] =>
    found.length > 0
      ? found
      : (found = Array.from({ length: PLACES }, (_, i) => road.getPointAtLength((i / PLACES) * total)));
  return {
    svg,
    mark(stationM) {
      const { x, y } = road.getPointAtLength((stationM / lengthM) * total);
      return `<circle cx="${one(x)}" cy="${one(y)}" r="9" fill="var(--page)" fill-opacity=".8"/><circle cx="${one(x)}" cy="${one(y)}" r="6" fill="var(--page)" stroke="currentColor" stroke-width="2"/>`;
    },
    stationAt(x, y) {
      let nearest = 0;
      let least = Number.POSITIVE_INFINITY;
      places().forEach((p, i) => {
        const d = (p.x - x) ** 2 + (p.y - y) ** 2;
        if (d < least) {
          least = d;
          nearest = i;
        }
      });
      let best = (nearest / PLACES) * total;
      for (let k = -10; k <= 10; k += 1) {
        const at = Math.min(Math.max(((nearest + k / 10) / PLACES) * total, 0), total);
        const p = road.getPointAtLength(at);
        const d = (p.x - x) ** 2 + (p.y - y) ** 2;
        if (d < least) {
          least = d;
          best = at;
        }
      }
      return (best / total) * lengthM;
    },
  };
}
