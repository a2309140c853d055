import type { Sheet } from './guideOf.ts';

const KEYS = {
  date: '2026-01-08',
  stage: 'track',
  circuit: 'saltmarsh',
  rider: 'robot',
  runs: '\n  - file: run-01.csv',
};

/** A session file with the keys that every one has, the given ones in place of them or behind them. */
export function session(keys: Readonly<Record<string, string>> = {}): Sheet {
  const all = Object.entries({ ...KEYS, ...keys });
  const lines = all.map(([key, value]) => `${key}:${value.startsWith('\n') ? value : ` ${value}`}`);
  return { file: 'session.md', text: `---\n${lines.join('\n')}\n---\n` };
}

/** A log of these lines. */
export const log = (...lines: string[]): Sheet => ({ file: 'run-01.csv', text: `${lines.join('\n')}\n` });

type Point = readonly [number, number];

/** Line and gate of a small circuit in metres, as many points as fit on a page. */
const LINE: readonly Point[] = [
  [0, -120],
  [150, -104],
  [260, -60],
  [300, 0],
  [260, 60],
  [150, 104],
  [0, 120],
  [-150, 104],
  [-260, 60],
  [-300, 0],
  [-260, -60],
  [-150, -104],
];
const GATE: readonly Point[] = [
  [0, -132],
  [0, -108],
];

/** A circuit file in metres. Its gate may be another, its measures others by a factor. */
export function circuit(
  file: string,
  { gate = GATE, factor = 1 }: { gate?: readonly Point[]; factor?: number } = {},
): Sheet {
  const written = (points: readonly Point[]): string =>
    points.map((point) => `[${point.map((value) => Math.round(value * factor)).join(', ')}]`).join(', ');
  return {
    file,
    text: `{ "type": "FeatureCollection", "plane": "metres", "features": [
  { "type": "Feature",
    "properties": { "role": "reference-line" },
    "geometry": { "type": "LineString", "coordinates": [
      ${written(LINE.slice(0, 4))},
      ${written(LINE.slice(4, 8))},
      ${written(LINE.slice(8))}] } },
  { "type": "Feature",
    "properties": { "role": "gate" },
    "geometry": { "type": "LineString", "coordinates": [${written(gate)}] } }
] }
`,
  };
}
