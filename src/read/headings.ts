import { isUnit } from '../units.ts';

/** A heading `name [unit]`, or `name (unit)` where that is a unit, as its two parts. */
export function headingParts(heading: string): { name: string; unit: string | null } {
  const text = heading.trim();
  const [, name = '', square, round = ''] = /^(.*?)\s*(?:\[([^\]]*)\]|\(([^()\d][^()]*)\))$/.exec(text) ?? [];
  if (square !== undefined) return { name, unit: square };
  return round !== '' && isUnit(round) ? { name, unit: round } : { name: text, unit: null };
}

/** Headings by which each column can be told: the second `Speed [km/h]` becomes `Speed (2) [km/h]`. */
export function distinctHeadings(written: readonly string[]): { headings: string[]; twice: string[] } {
  const taken = new Set(written);
  const seen = new Map<string, number>();
  const twice: string[] = [];
  const headings = written.map((heading) => {
    if (!seen.has(heading)) {
      seen.set(heading, 1);
      return heading;
    }
    const { name, unit } = headingParts(heading);
    let n = seen.get(heading)! + 1;
    const numbered = (): string => `${name} (${n})${unit === null ? '' : ` [${unit}]`}`;
    while (seen.has(numbered()) || taken.has(numbered())) n++;
    seen.set(numbered(), 1);
    seen.set(heading, n);
    twice.push(numbered());
    return numbered();
  });
  return { headings, twice };
}
