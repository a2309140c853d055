import { createHash } from 'node:crypto';
import type { Problem } from '../problem.ts';
import type { ChannelName, Recording } from './recording.ts';

/**
 * One run whose log came in parts, one behind the other on one clock, as one recording. Parts may be given in any order.
 *
 * Stamps stay as they are: a part whose clock began anew shows as a clock that went back, which is said where laps are
 * cut. A channel that a part lacks is NaN there. Parts that overlap in time are two loggers, not two parts.
 *
 * @param parts at least two, each with rows
 */
export function joinParts(
  parts: readonly Recording[],
  file: string,
): { recording: Recording | null; problems: Problem[] } {
  const epochs = parts.map(({ epochS }) => epochS);
  const zero = epochs.includes(null) ? null : Math.min(...epochs.map((epoch) => epoch ?? 0));
  const shift = (part: Recording): number => (zero === null ? 0 : (part.epochS ?? 0) - zero);
  const ends = parts.map((part) => {
    const known = part.timeS.filter((t) => !Number.isNaN(t));
    return { part, from: (known[0] ?? 0) + shift(part), to: (known.at(-1) ?? 0) + shift(part) };
  });
  ends.sort((x, y) => x.from - y.from);
  const overlap = ends.find(({ from }, i) => i > 0 && from < ends[i - 1]!.to);
  if (overlap || (zero === null && epochs.some((epoch) => epoch !== null)))
    return {
      recording: null,
      problems: [
        {
          code: 'VALUE_INVALID',
          severity: 'stop',
          place: { file: overlap?.part.file ?? file, key: 'runs.files' },
          found: overlap
            ? `a part that begins at ${overlap.from.toFixed(3)} s, before the one ahead of it ends`
            : 'parts with and without a date',
          expected: 'parts of one log, one behind the other on one clock',
          remedy: 'give logs of different loggers, or of a clock that began anew, as runs of their own',
        },
      ],
    };
  const rows = ends.reduce((sum, { part }) => sum + part.rows, 0);
  const names = new Set(ends.flatMap(({ part }) => [...part.channels.keys()]));
  const timeS = new Float64Array(rows);
  const channels = new Map<ChannelName, Float64Array>();
  for (const name of names) channels.set(name, new Float64Array(rows).fill(Number.NaN));
  const hash = createHash('sha256');
  let at = 0;
  for (const { part } of ends) {
    const ahead = shift(part);
    for (let i = 0; i < part.rows; i++) timeS[at + i] = part.timeS[i]! + ahead;
    for (const [name, values] of part.channels) channels.get(name)!.set(values, at);
    hash.update(part.sha256);
    at += part.rows;
  }
  const [first] = ends;
  return {
    recording: {
      ...first!.part,
      file,
      rows,
      bytes: parts.reduce((sum, { bytes }) => sum + bytes, 0),
      // Of the parts' own hashes, in the order of time.
      sha256: hash.digest('hex'),
      timeS,
      epochS: zero,
      channels,
      columns: [
        ...new Map(ends.flatMap(({ part }) => part.columns.map((column) => [column.name, column] as const))).values(),
      ],
      lineOfRow: null,
    },
    problems: [],
  };
}
