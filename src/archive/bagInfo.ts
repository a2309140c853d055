/** Labels and values of `bag-info.txt` in their order; a label may stand several times. */
export type BagInfo = readonly (readonly [label: string, value: string])[];

/**
 * Reads `bag-info.txt`: a label, a colon, a value; what is set in belongs to the line before (RFC 8493, 2.2.2).
 *
 * @returns the entries and, in `wrong`, the numbers of lines that are none
 */
export function readBagInfo(text: string): { info: BagInfo; wrong: number[] } {
  const info: [string, string][] = [];
  const wrong: number[] = [];
  text.split(/\r\n|\n|\r/).forEach((line, i) => {
    const last = info.at(-1);
    const entry = /^([^\s:][^:]*):(.*)$/.exec(line);
    if (line.trim() === '') return;
    if (/^[ \t]/.test(line) && last) last[1] = `${last[1]} ${line.trim()}`.trim();
    else if (entry) info.push([entry[1]!.trim(), entry[2]!.trim()]);
    else wrong.push(i + 1);
  });
  return { info, wrong };
}

/** `bag-info.txt` as we write it: a line each. */
export const bagInfoText = (info: BagInfo): string =>
  info.map(([label, value]) => `${label}: ${value.replace(/\s+/g, ' ').trim()}\n`).join('');

/** The first value under a label, whatever its capitals; null where there is none. */
export const infoOf = (info: BagInfo, label: string): string | null =>
  info.find(([name]) => name.toLowerCase() === label.toLowerCase())?.[1] ?? null;
