/** A heading `name [unit]` as its two parts. */
export function headingParts(heading: string): { name: string; unit: string | null } {
  const match = /^(.*?)\s*\[([^\]]*)\]$/.exec(heading.trim());
  return match ? { name: match[1] ?? '', unit: match[2] ?? '' } : { name: heading.trim(), unit: null };
}

/**
 * Headings by which each column can be told: an empty one becomes `column 3`, the second `Speed [km/h]` becomes
 * `Speed (2) [km/h]`.
 */
export function distinctHeadings(written: readonly string[]): { headings: string[]; twice: string[] } {
  const taken = new Set(written);
  const seen = new Set<string>();
  const twice: string[] = [];
  const headings = written.map((given, i) => {
    const heading = given === '' ? `column ${i + 1}` : given;
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
