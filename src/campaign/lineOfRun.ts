import { basename, dirname, join, resolve } from 'node:path';
import { alignLap } from '../align/alignLap.ts';
import { alignRun } from '../align/alignRun.ts';
import { centreLine } from '../circuit/centreLine.ts';
import { type Circuit, readCircuit } from '../circuit/circuit.ts';
import { type CircuitPoints, circuitFromPoints } from '../circuit/circuitFromPoints.ts';
import { closedLine, type Foot } from '../circuit/line.ts';
import { localPlane, type Plane } from '../circuit/plane.ts';
import { smoothClosed } from '../circuit/smooth.ts';
import { circuitText } from '../circuit/writeCircuit.ts';
import type { Effects } from '../effects.ts';
import { cutLaps } from '../laps/laps.ts';
import { type Fixes, traceOf } from '../laps/trace.ts';
import { median } from '../numbers/quantile.ts';
import type { Problem } from '../problem.ts';
import { readLog } from '../read/log.ts';
import { readSessionFile } from '../read/sessionFile.ts';

/** A closed line drawn from a rider's own laps, and where its gate belongs. */
export interface RiddenLine {
  readonly plane: Plane | null;
  readonly eastM: Float64Array;
  readonly northM: Float64Array;
  readonly gate: { readonly eastM: number; readonly northM: number };
  readonly laps: number;
  readonly residualRmsM: number;
}

/**
 * Draws a reference line from the laps of one run: a first line through all passages of a place, on which the laps can
 * be judged, then the smooth line of those that have nothing against them.
 *
 * @param path a log beside its session.md
 * @param choice.gate where the gate stands, in degrees (lat, lon) or the log's metres; the fastest place by default
 * @param choice.lap this lap alone
 */
export async function lineOfRun(
  path: string,
  choice: { readonly gate: readonly [number, number] | null; readonly lap: string | null },
  effects: Effects,
): Promise<{ line: RiddenLine | null; problems: readonly Problem[] }> {
  const folder = dirname(resolve(path));
  const id = basename(folder);
  const file = basename(path);
  const sessionPath = join(folder, 'session.md');
  if (!(await effects.exists(sessionPath)))
    return {
      line: null,
      problems: [
        {
          code: 'FILE_MISSING',
          severity: 'stop',
          place: { file: `${id}/session.md` },
          found: `no session.md beside ${file}`,
          expected: 'one that names the log, its columns and the antenna',
          remedy: `make one with \`gapbook new session ${id}\``,
        },
      ],
    };
  const { session, problems } = readSessionFile(await effects.text(sessionPath), id, `${id}/session.md`);
  const setup = session?.runs.find(({ files }) => files.includes(file));
  if (!setup)
    return {
      line: null,
      problems: [
        ...problems,
        {
          code: 'FILE_MISSING',
          severity: 'stop',
          place: { file: `${id}/session.md`, key: 'runs' },
          found: `no run with \`${file}\``,
          expected: 'the log under `runs:`',
          remedy: `add \`- file: ${file}\``,
        },
      ],
    };
  const read = await readLog(
    { path: join(folder, file), file: `${id}/${file}`, columns: setup.columns, decimal: setup.decimal },
    effects,
  );
  const { recording } = read;
  if (!recording) return { line: null, problems: read.problems };
  const lat = recording.channels.get('lat');
  const lon = recording.channels.get('lon');
  const plane = lat && lon ? localPlane(median(known(lat)), median(known(lon))) : null;
  const { trace, problems: more } = traceOf(recording, setup, plane, null);
  const all = [...read.problems, ...more];
  if (!trace) return { line: null, problems: all };
  const { fixes } = trace;
  const gate = choice.gate ? placed(choice.gate, plane) : fastest(fixes);
  const rough = lapsThrough(fixes, gate);
  if (rough.length === 0) return { line: null, problems: all };
  const first = asCircuit(smoothClosed(rough), gate);
  if (!first) return { line: null, problems: all };
  const run = alignRun(trace, first);
  const good = cutLaps(trace, first.gate, setup).flatMap((lap) => {
    const aligned = alignLap(run, lap);
    const wanted = choice.lap === null ? aligned?.reasons.length === 0 : String(lap.number) === choice.lap;
    return aligned && aligned.timeS !== null && wanted
      ? [between(fixes, aligned.startS, aligned.startS + aligned.timeS)]
      : [];
  });
  if (good.length === 0) return { line: null, problems: all };
  return { line: { plane, gate, laps: good.length, ...smoothClosed(good) }, problems: all };
}

/** The same points with the gate where the line passes nearest to a place. */
export function withGate(
  points: CircuitPoints,
  gate: { readonly eastM: number; readonly northM: number },
): CircuitPoints {
  const middle = points.edges && centreLine(points.edges.left, points.edges.right);
  const line = points.line ?? (middle ? [middle.eastM, middle.northM] : null);
  if (!line) return points;
  const closed = closedLine(line[0]!, line[1]!);
  const feet: Foot[] = [];
  const count = closed.candidates(gate.eastM, gate.northM, closed.lengthM, feet);
  let best: Foot | undefined;
  for (const foot of feet.slice(0, count)) if (!best || Math.abs(foot.offsetM) < Math.abs(best.offsetM)) best = foot;
  return best ? { ...points, line, gateStationM: best.stationM } : points;
}

const placed = ([x, y]: readonly [number, number], plane: Plane | null): { eastM: number; northM: number } =>
  plane ? plane.toPlane(x, y) : { eastM: x, northM: y };

/** A circuit in the metres of the trace, so that its laps can be cut and judged at once. */
function asCircuit(
  line: { eastM: Float64Array; northM: Float64Array },
  gate: { eastM: number; northM: number },
): Circuit | null {
  const drawing = circuitFromPoints(withGate({ name: 'ridden', plane: null, line: [line.eastM, line.northM] }, gate));
  return readCircuit(circuitText(drawing), 'ridden', 'ridden').circuit;
}

const known = (values: Float64Array): Float64Array => values.filter((v) => !Number.isNaN(v) && v !== 0);

/** Where the machine is fastest: on a straight, where laps are cut best. */
function fastest({ timeS, eastM, northM }: Fixes): { eastM: number; northM: number } {
  let best = 0;
  let top = 0;
  const reach = 10;
  for (let i = reach; i < timeS.length - reach; i++) {
    const v =
      Math.hypot(eastM[i + reach]! - eastM[i - reach]!, northM[i + reach]! - northM[i - reach]!) /
      (timeS[i + reach]! - timeS[i - reach]!);
    if (v > top) [best, top] = [i, v];
  }
  return { eastM: eastM[best]!, northM: northM[best]! };
}

/** The stretches of a run between two passages of a place in one direction. */
function lapsThrough(
  fixes: Fixes,
  gate: { eastM: number; northM: number },
): { eastM: Float64Array; northM: Float64Array }[] {
  const { timeS, eastM, northM } = fixes;
  const { eastM: east, northM: north } = gate;
  const n = timeS.length;
  const width = Math.max(
    ...[eastM, northM].map(
      (v) => v.reduce((m, x) => Math.max(m, x), -Infinity) - v.reduce((m, x) => Math.min(m, x), Infinity),
    ),
  );
  const reach = Math.min(30, width / 15);
  let k = 0;
  for (let i = 1; i < n; i++)
    if (Math.hypot(eastM[i]! - east, northM[i]! - north) < Math.hypot(eastM[k]! - east, northM[k]! - north)) k = i;
  const a = Math.max(0, k - 5);
  const b = Math.min(n - 1, k + 5);
  const course = Math.atan2(northM[b]! - northM[a]!, eastM[b]! - eastM[a]!);
  const ahead = (i: number): number => (eastM[i]! - east) * Math.cos(course) + (northM[i]! - north) * Math.sin(course);
  const beside = (i: number): number =>
    Math.abs((northM[i]! - north) * Math.cos(course) - (eastM[i]! - east) * Math.sin(course));
  const passed: number[] = [];
  for (let i = 1; i < n; i++) if (ahead(i - 1) < 0 && ahead(i) >= 0 && beside(i) < reach) passed.push(i);
  const laps = passed
    .slice(1)
    .map((end, j) => ({ eastM: eastM.slice(passed[j]!, end), northM: northM.slice(passed[j]!, end) }));
  const long = laps.map((one) => pathOf(one));
  const usual = median(long);
  return laps.filter((_, j) => Math.abs(long[j]! - usual) < 0.1 * usual && long[j]! > 2 * reach);
}

function pathOf({ eastM, northM }: { eastM: Float64Array; northM: Float64Array }): number {
  let sum = 0;
  for (let i = 1; i < eastM.length; i++) sum += Math.hypot(eastM[i]! - eastM[i - 1]!, northM[i]! - northM[i - 1]!);
  return sum;
}

function between({ timeS, eastM, northM }: Fixes, fromS: number, toS: number) {
  let a = 0;
  while (a < timeS.length && timeS[a]! < fromS) a++;
  let b = a;
  while (b < timeS.length && timeS[b]! < toS) b++;
  return { eastM: eastM.slice(a, b), northM: northM.slice(a, b) };
}
