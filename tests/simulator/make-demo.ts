import { mkdirSync, rmSync, writeFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { gzipSync } from 'node:zlib';
import { circuitFile } from './circuitFile.ts';
import { deficitsOf, demoLog, demoRun, loggerOf } from './demoRun.ts';
import { riders } from './riders.ts';
import { deficitTruth, runTruth } from './runTruth.ts';
import { saltmarsh } from './saltmarsh.ts';
import { CAMPAIGN, DAYS } from './scenario.ts';
import { sessionFile } from './sessionFile.ts';

/**
 * Writes the demo campaign: content/, sample-sessions/ and what is true of it (tests/simulator/truth.json).
 * Usage: node tests/simulator/make-demo.ts [OUT]; OUT is the root of the repository where absent.
 * The phase map beside the circuit belongs to the tool: `gapbook new phases saltmarsh` after a change of the reference.
 */
function main(): void {
  const root = join(dirname(fileURLToPath(import.meta.url)), '..', '..');
  const out = process.argv[2] ?? root;
  const write = (path: string, data: string | Uint8Array) => {
    mkdirSync(dirname(path), { recursive: true });
    writeFileSync(path, data);
  };

  const circuit = saltmarsh();
  const people = riders(circuit);
  write(join(out, 'content', 'campaign.md'), CAMPAIGN);
  write(join(out, 'content', 'circuits', `${circuit.id}.geojson`), circuitFile(circuit));

  rmSync(join(out, 'sample-sessions'), { recursive: true, force: true });
  const sessions: Record<string, unknown> = {};
  for (const day of DAYS) {
    const { software } = day;
    const folder = join(out, 'sample-sessions', day.id);
    const runs: Record<string, unknown> = {};
    const deficits: object[] = [];
    const ridden = day.runs.map((run) => {
      const own = deficitsOf(day, run);
      const done = demoRun(circuit, people, day, run, own);
      const text = demoLog(circuit, day, run, done);
      write(join(folder, run.file), run.file.endsWith('.gz') ? gzipSync(text, { level: 9 }) : text);
      runs[run.file] = runTruth(circuit, done, run);
      const leftOut = [run.intervention?.lap, run.spoilt?.lap, run.hole?.lap].filter((lap) => lap !== undefined);
      if (run.capKmh === undefined)
        for (const deficit of own) {
          const without = demoRun(
            circuit,
            people,
            day,
            run,
            own.filter((d) => d !== deficit),
          );
          deficits.push(deficitTruth(circuit, run.file, deficit, done.ridden, without.ridden, leftOut));
        }
      return { run, ride: done.ridden };
    });
    write(join(folder, 'session.md'), sessionFile(day, circuit.id, loggerOf(day), ridden));
    sessions[day.id] = { rider: software ? 'robot' : 'reference', surface: day.conditions['surface'], runs, deficits };
  }
  const truth = {
    about:
      'What the simulator knows of the demo. Stations in m from the gate along the centre line, times in s, log clocks.',
    circuit: {
      lengthM: round(circuit.course.lengthM, 4),
      bends: circuit.bends.map((b) => ({ name: b.name, fromM: round(b.fromM, 2), toM: round(b.toM, 2) })),
    },
    sessions,
  };
  write(join(out, 'tests', 'simulator', 'truth.json'), `${shallow(truth, 6)}\n`);
}

/** JSON with line breaks down to a depth only, so that a lap or a fault is one line. */
function shallow(value: unknown, depth: number, indent = ''): string {
  if (depth === 0 || typeof value !== 'object' || value === null) return JSON.stringify(value);
  const inner = `${indent} `;
  const list = Array.isArray(value);
  if (list && value.every((v) => typeof v !== 'object')) return JSON.stringify(value);
  const parts = list
    ? value.map((v) => shallow(v, depth - 1, inner))
    : Object.entries(value).map(([key, v]) => `${JSON.stringify(key)}: ${shallow(v, depth - 1, inner)}`);
  if (parts.length === 0) return list ? '[]' : '{}';
  return `${list ? '[' : '{'}\n${inner}${parts.join(`,\n${inner}`)}\n${indent}${list ? ']' : '}'}`;
}

const round = (value: number, digits: number): number => Number(value.toFixed(digits));

main();
