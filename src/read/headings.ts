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
  const seen = new Set<string>();
  const twice: string[] = [];
  const headings = written.map((heading) => {
    if (!seen.has(heading)) {
      seen.add(heading);
      return heading;
    }
    const { name, unit } = headingParts(heading);
    let n = 2;
    const numbered = (): string => `${name} (${n})${unit === null ? '' : ` [${unit}]`}`;
    while (seen.has(numbered()) || taken.has(numbered())) n++;
    seen.add(numbered());
    twice.push(numbered());
    return numbered();
  });
  return { headings, twice };
}
