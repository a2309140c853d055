import { mkdirSync, rmSync, writeFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { parseArgs } from 'node:util';
import { gzipSync } from 'node:zlib';
import { circuitFile } from './circuitFile.ts';
import { csv, riderLogger, robotLogger } from './loggers.ts';
import { motion } from './motion.ts';
import { type Ride, ride } from './ride.ts';
import type { Rider } from './rider.ts';
import { riders } from './riders.ts';
import { plantedCosts, runTruth } from './runTruth.ts';
import { type Circuit, saltmarsh } from './saltmarsh.ts';
import { CAMPAIGN, DAYS, type Day, type DayRun } from './scenario.ts';
import { sense } from './sense.ts';
import { sessionFile } from './sessionFile.ts';

/**
 * Writes the demo campaign: content/, sample-sessions/ and what is true of it (tests/simulator/truth.json).
 * Usage: node tests/simulator/make-demo.ts [OUT] [--gzip]
 * OUT is the root of the repository where absent. Plain logs have 20 rows a second, compressed ones 50.
 */
function main(): void {
  const root = join(dirname(fileURLToPath(import.meta.url)), '..', '..');
  const { values, positionals } = parseArgs({ options: { gzip: { type: 'boolean' } }, allowPositionals: true });
  const out = positionals[0] ?? root;
  const packed = values.gzip === true;
  const rateHz = packed ? 50 : 20;
  const write = (path: string, data: string | Uint8Array) => {
    mkdirSync(dirname(path), { recursive: true });
    writeFileSync(path, data);
  };

  const circuit = saltmarsh();
  const people = riders(circuit);
  write(join(out, 'content', 'campaign.md'), CAMPAIGN);
  write(join(out, 'content', 'circuits', `${circuit.id}.geojson`), circuitFile(circuit));

  const sessions: Record<string, unknown> = {};
  for (const day of DAYS) {
    const rider = on(day, day.rider === 'reference' ? people.reference : people.robot(day.rider));
    const logger = day.rider === 'reference' ? riderLogger() : robotLogger(day.stage);
    const folder = join(out, 'sample-sessions', day.id);
    const ridden = day.runs.map((run) => {
      const file = packed ? `${run.file}.gz` : run.file;
      return { file, run, ride: ride(rideOf(circuit, rider, day, run)) };
    });
    rmSync(folder, { recursive: true, force: true });
    const runs: Record<string, unknown> = {};
    for (const { file, run, ride: done } of ridden) {
      const holeS = run.hole && done.timeAtStation(run.hole.lap, run.hole.atM);
      const holes = holeS === undefined ? [] : [[holeS, holeS + run.hole!.seconds] as const];
      const sensors = { ...run.sensors, rateHz, holes };
      const { rows } = sense(done, motion(done, rider), sensors, `${day.id}/${run.file}`, circuit.origin, rider.plan);
      const text = csv(logger, rows);
      write(join(folder, file), packed ? gzipSync(text, { level: 9 }) : text);
      runs[file] = runTruth(circuit, done, run, holeS);
    }
    write(join(folder, 'session.md'), sessionFile(day, circuit.id, logger, ridden));
    const planted = day.rider === 'reference' ? [] : plantedCosts(circuit, rider, people.reference);
    sessions[day.id] = { rider: day.rider, runs, planted };
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

/** A rider on the day's surface. */
function on(day: Day, rider: Rider): Rider {
  const { grip = 1 } = day;
  const { machine } = rider;
  return {
    ...rider,
    machine: {
      ...machine,
      lateralMps2: machine.lateralMps2 * grip,
      tractionMps2: machine.tractionMps2 * grip,
      decelerationMps2: (v) => machine.decelerationMps2(v) * grip,
    },
  };
}

const round = (value: number, digits: number): number => Number(value.toFixed(digits));

function rideOf(circuit: Circuit, rider: Rider, day: Day, run: DayRun): Ride {
  return {
    course: circuit.course,
    bends: circuit.bends,
    rider,
    laps: run.laps,
    start: run.start,
    end: run.end,
    pitOffsetM: circuit.pitOffsetM,
    ...(run.capKmh === undefined ? {} : { capMps: run.capKmh / 3.6 }),
    ...(run.intervention ? { slow: [run.intervention] } : {}),
    seed: `${day.id}/${run.file}`,
  };
}

main();
