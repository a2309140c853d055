import { describe, expect, test } from 'vitest';
import { analyseCampaign } from '../../src/campaign/analyseCampaign.ts';
import { loadCampaign } from '../../src/campaign/load.ts';
import type { SessionResult } from '../../src/campaign/results.ts';
import { readCircuit } from '../../src/circuit/circuit.ts';
import { closedLine, LinePoint } from '../../src/circuit/line.ts';
import { readPhaseMap } from '../../src/circuit/phases.ts';
import { localPlane } from '../../src/circuit/plane.ts';
import type { Effects } from '../../src/effects.ts';
import { traceOf } from '../../src/laps/trace.ts';
import { PROBLEMS, type Problem, type ProblemCode } from '../../src/problem.ts';
import { readCampaignFile } from '../../src/read/campaignFile.ts';
import { readLog } from '../../src/read/log.ts';
import { readSessionFile } from '../../src/read/sessionFile.ts';
import { noteProblems } from '../../src/report/notes/checkedNotes.ts';
import { GUIDE } from '../../src/report/problems/guide.ts';
import type { Sheet } from '../../src/report/problems/guideOf.ts';
import { circuit, session } from '../../src/report/problems/sheets.ts';
import { resultsOf } from '../../src/report/resultsOf.ts';
import { memory } from '../campaign/memory.ts';

// What is expected is what the guide tells its readers: the first files raise the code and no other, the mended ones do
// not raise it. The examples go through the readers as they stand on the page.

const NOT_RUN: Partial<Record<ProblemCode, string>> = {
  FILE_UNREADABLE: 'a refusal of the file system or a wrong checksum has no text to show',
  LOG_LIMIT: 'the example leaves out most of its 12 000 columns',
  PHASES_UNWRITABLE: 'the fault is a right on a folder, not the content of a file',
};
/** Examples that need more than their own reader: the log laid on a clock and a plane, or a whole campaign around them. */
const TRACED = new Set<ProblemCode>([
  'TIME_ORDER',
  'TIME_BACK',
  'TIME_REPEATED',
  'POSITION_HELD',
  'POSITION_SIGMA',
  'ANTENNA_UNKNOWN',
  'AXES_UNKNOWN',
  'CHANNEL_IMPLAUSIBLE',
]);
const IN_CAMPAIGN = new Set<ProblemCode>([
  'FILE_MISSING',
  'LAP_UNKNOWN',
  'RIDER_UNKNOWN',
  'CIRCUIT_MISSING',
  'OFFICIAL_TIMING',
  'FRAME_MISSING',
  'FRAME_RESIDUAL',
  'CLOSURE',
  'PLAN_LINE',
  'GATE_NOT_CROSSED',
  'REFERENCE_MISSING',
  'GATE_EVIDENCE',
  'GATE_ORDER',
  'MILESTONE_TARGET',
  'MILESTONE_EVIDENCE',
  'NOTE_DIRECTIVE',
  'NOTE_UNREADABLE',
  'CLAIM_UNTRUE',
  'CLAIM_CHANGED',
  'CLAIM_UNCONFIRMED',
]);

/** Codes that are said along with another. */
const ALONG: Partial<Record<ProblemCode, ProblemCode>> = {
  // Without the circuit in its own metres the log has no frame.
  FRAME_RESIDUAL: 'FRAME_MISSING',
};

const ID = '2026-01-08-track';
const PLANE = localPlane(43.36, 4.76);
const LAP_S = 40;
/** Metres round the lap by which the example’s phase map was written. */
const MAP_LENGTH_M = 1380;

/** Three passes of the gate, 40 s each, on the line of the example's circuit: fast on the sides, slow at the ends. */
function ridden(
  column: (place: { eastM: number; northM: number; speedMps: number }) => string,
  heading: string,
): string {
  const feature = JSON.parse(circuit('').text).features[0] as { geometry: { coordinates: [number, number][] } };
  const points = feature.geometry.coordinates;
  const line = closedLine(
    points.map(([x]) => x),
    points.map(([, y]) => y),
  );
  const n = 3000;
  const step = line.lengthM / n;
  const place = new LinePoint();
  const speed = Float64Array.from({ length: n }, (_, i) => {
    line.at(i * step, place);
    return Math.min(60, Math.sqrt(9 / Math.abs(place.curvaturePerM)));
  });
  for (let round = 0; round < 2; round++) {
    for (let i = 0; i < n; i++)
      speed[(i + 1) % n] = Math.min(speed[(i + 1) % n]!, Math.sqrt(speed[i]! ** 2 + 8 * step));
    for (let i = n; i > 0; i--) speed[i - 1] = Math.min(speed[i - 1]!, Math.sqrt(speed[i % n]! ** 2 + 14 * step));
  }
  const arrival = new Float64Array(n + 1);
  for (let i = 0; i < n; i++) arrival[i + 1] = arrival[i]! + (2 * step) / (speed[i]! + speed[(i + 1) % n]!);
  const scale = LAP_S / arrival[n]!;
  const rows = [heading];
  for (let k = -5 * 20; k <= (2 * LAP_S + 5) * 20; k++) {
    const within = ((((k / 20) % LAP_S) + LAP_S) % LAP_S) / scale;
    let i = 0;
    while (arrival[i + 1]! < within) i++;
    const share = (within - arrival[i]!) / (arrival[i + 1]! - arrival[i]!);
    line.at((i + share) * step, place);
    const speedMps = (speed[i]! + share * (speed[(i + 1) % n]! - speed[i]!)) / scale;
    rows.push(`${(k / 20 + 5).toFixed(2)},${column({ eastM: place.eastM, northM: place.northM, speedMps })}`);
  }
  return `${rows.join('\n')}\n`;
}

const degrees = (eastM: number, northM: number): string => {
  const { latDeg, lonDeg } = PLANE.latLon(eastM, northM);
  return `${latDeg.toFixed(8)},${lonDeg.toFixed(8)}`;
};
const LOG = ridden(
  ({ eastM, northM, speedMps }) => `${degrees(eastM, northM)},${speedMps.toFixed(3)}`,
  'time [s],lat [deg],lon [deg],speed [m/s]',
);
const IN_METRES = ridden(
  ({ eastM, northM }) => `${eastM.toFixed(3)},${northM.toFixed(3)}`,
  'time [s],east [m],north [m]',
);
/** What the session's log holds where an example shows its session file alone. */
const LOGS: Partial<Record<ProblemCode, string>> = {
  FRAME_MISSING: IN_METRES,
  FRAME_RESIDUAL: IN_METRES,
  // 1 mi/h is 0.44704 m/s exactly.
  CLOSURE: ridden(
    ({ eastM, northM, speedMps }) => `${degrees(eastM, northM)},${(speedMps / 0.44704).toFixed(2)}`,
    'time [s],lat [deg],lon [deg],Speed',
  ),
  // The line is ridden counter-clockwise, 2 to 3 m inside of it, which is to its left; this robot counts to the right.
  PLAN_LINE: ridden(
    ({ eastM, northM }) => `${degrees(eastM * 0.99, northM * 0.98)},-2.5`,
    'time [s],lat [deg],lon [deg],Lateral target',
  ),
};

/** The example's circuit with its metres laid on earth. */
const CIRCUIT = (() => {
  const file = JSON.parse(circuit('').text) as {
    plane?: string;
    features: { geometry: { coordinates: [number, number][] } }[];
  };
  delete file.plane;
  for (const { geometry } of file.features)
    geometry.coordinates = geometry.coordinates.map(([x, y]) => {
      const { latDeg, lonDeg } = PLANE.latLon(x, y);
      return [lonDeg, latDeg];
    });
  return JSON.stringify(file);
})();

/** A sound campaign: nothing in it is a problem. */
const SOUND: Record<string, string> = {
  'c/campaign.md': GUIDE.REFERENCE_MISSING.after[0]!.text,
  'c/circuits/saltmarsh.geojson': CIRCUIT,
  's/2026-01-05-reference/session.md': session({
    rider: 'reference',
    position: '{ antenna: [0, 0, 0], sigma: "0.03 m" }',
  }).text,
  's/2026-01-05-reference/run-01.csv': LOG,
  [`s/${ID}/session.md`]: session({ position: '{ antenna: [0, 0, 0], sigma: "0.03 m" }' }).text,
  [`s/${ID}/run-01.csv`]: LOG,
};

const placeOf = ({ file }: Sheet): string =>
  file === 'campaign.md' || /^(weeks|milestones)\//.test(file)
    ? `c/${file}`
    : file.startsWith('saltmarsh.')
      ? `c/circuits/${file}`
      : `s/${ID}/${file}`;

async function inCampaign(code: ProblemCode | null, sheets: readonly Sheet[]): Promise<Problem[]> {
  const own = code && LOGS[code];
  const effects = memory({
    ...SOUND,
    ...(own ? { [`s/${ID}/run-01.csv`]: own } : {}),
    ...Object.fromEntries(sheets.map((sheet) => [placeOf(sheet), sheet.text])),
  });
  const problems: Problem[] = [];
  const sessions: SessionResult[] = [];
  const loaded = await loadCampaign({ content: 'c', sessions: 's' }, effects);
  const campaign = await analyseCampaign(
    loaded,
    { toolVersion: '0', asOf: null, keepMaps: true },
    {
      session: async (result) => {
        sessions.push(result);
        problems.push(...([...result.problems, ...result.runs.flatMap((run) => run.problems)] as Problem[]));
      },
      campaign: async () => {},
    },
    effects,
  );
  // The mark of inputs is not for an example to know, so an example is never confirmed.
  const ofNotes = noteProblems(resultsOf(campaign, sessions)).filter(
    (problem) => problem.code !== 'CLAIM_UNCONFIRMED' || code === 'CLAIM_UNCONFIRMED',
  );
  return [...problems, ...(campaign.problems as Problem[]), ...ofNotes];
}

/** Each file through the reader of its kind; a log with what the session file says of its run. */
async function readAlone(sheets: readonly Sheet[], traced: boolean): Promise<Problem[]> {
  const problems: Problem[] = [];
  const sessionFile = sheets.find(({ file }) => file === 'session.md');
  const { session: keys, problems: ofSession } = readSessionFile(
    (sessionFile ?? session({ position: '{ antenna: [0, 0, 0], sigma: "0.03 m" }' })).text,
    ID,
    'session.md',
  );
  problems.push(...ofSession);
  const logs = sheets.filter(({ file }) => file.startsWith('run-'));
  if (traced && logs.length === 0) logs.push({ file: 'run-01.csv', text: LOG });
  const [run] = keys?.runs ?? [];
  for (const { file, text, encoding } of logs) {
    const bytes = encoding ? Uint8Array.from(text, (sign) => sign.charCodeAt(0)) : new TextEncoder().encode(text);
    const effects = {
      exists: async () => true,
      async *chunks() {
        yield bytes;
      },
    } as unknown as Effects;
    const columns = run!.columns;
    const { recording, problems: ofLog } = await readLog({ path: file, file, columns, decimal: run!.decimal }, effects);
    problems.push(...ofLog);
    if (traced) problems.push(...traceOf(recording!, run!, PLANE, null).problems);
  }
  for (const { file, text } of sheets) {
    if (file === 'campaign.md') problems.push(...readCampaignFile(text, file).problems);
    if (file.endsWith('.geojson')) problems.push(...readCircuit(text, file, 'saltmarsh').problems);
    if (file.endsWith('.yaml')) problems.push(...readPhaseMap(text, file, MAP_LENGTH_M).problems);
  }
  return problems;
}

const problemsOf = (code: ProblemCode, sheets: readonly Sheet[]): Promise<Problem[]> =>
  IN_CAMPAIGN.has(code) ? inCampaign(code, sheets) : readAlone(sheets, TRACED.has(code));
const codesOf = (problems: readonly Problem[]): string[] => [...new Set(problems.map(({ code }) => code))];
const codes = Object.keys(PROBLEMS) as ProblemCode[];

test('the campaign around the examples has no problem of its own', async () => {
  expect(await inCampaign(null, [])).toEqual([]);
});

describe('an example raises its code and no other, and the mended one raises it no longer', () => {
  test.each(codes.filter((code) => !(code in NOT_RUN)))('%s', async (code) => {
    const { before, after, severities } = GUIDE[code];
    const problems = await problemsOf(code, before);
    const raised = codesOf(problems).filter((other) => other !== ALONG[code]);
    expect(raised, JSON.stringify(problems, null, 1)).toEqual([code]);
    for (const { severity } of problems) expect(severities).toContain(severity);

    const mended = [...before.filter(({ file }) => !after.some((sheet) => sheet.file === file)), ...after];
    const left = await problemsOf(code, mended);
    expect(codesOf(left), JSON.stringify(left, null, 1)).toEqual([]);
  });
});

test('nearly every example is run', () => {
  expect(Object.keys(NOT_RUN).length).toBeLessThan(codes.length / 10);
});
