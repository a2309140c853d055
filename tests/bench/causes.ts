/**
 * How well causes find what made the difference on two sets of 200 pairs of laps that differ in one factor, and how fast.
 *
 *   npm run bench -- causes [--every 5] [--draws 40] [--sets ,b] [--json] [--cases] [--season]
 *
 * --every takes every so-manieth case, --draws repeats for the intervals, --sets names the sets, the first without a name, --cases prints each case that is off,
 * --season splits the laps of a whole season, and nothing else.
 */
import { parseArgs } from 'node:util';
import { setFlagsFromString } from 'node:v8';
import { runInNewContext } from 'node:vm';
import { DRAWS } from '../../src/causes/lapCauses.ts';
import { cases } from '../causes/generator/cases.ts';
import { logOf } from '../causes/generator/sense.ts';
import { type Outcome, Recovery, tableOf, tableText } from '../causes/recovery.ts';
import { causesOf, type Known, type Logged, layLap } from '../causes/throughPipeline.ts';

const { values } = parseArgs({
  allowPositionals: true,
  options: {
    every: { type: 'string', default: '1' },
    draws: { type: 'string', default: String(DRAWS) },
    sets: { type: 'string', default: ',b' },
    json: { type: 'boolean', default: false },
    cases: { type: 'boolean', default: false },
    season: { type: 'boolean', default: false },
  },
});
const every = Number(values.every);
const draws = Number(values.draws);

/** A season: laps, and corners a lap. */
const SEASON_LAPS = 2500;
const SEASON_CORNERS = 12;
const LEAST_LAPS = 100;

/** Laps of a session, of which the best and the median have intervals, as in a build. */
const SESSION_LAPS = 8;

if (values.season) process.stdout.write(`${seasonText(season())}\n`);
else {
  const speed = speeds();
  const recovery = new Recovery(draws);
  const outcomes = values.sets
    .split(',')
    .flatMap((seed) => cases(seed))
    .filter((_, i) => i % every === 0)
    .map((one) => recovery.run(one));
  if (values.json) process.stdout.write(`${JSON.stringify({ speed, table: tableOf(outcomes) }, null, 2)}\n`);
  else {
    process.stdout.write(`${tableText(outcomes)}\n\n${speedText(speed)}\n`);
    if (values.cases)
      for (const o of outcomes) if (!(o.ownWithin && o.leakWithin)) process.stdout.write(`${line(o)}\n`);
  }
}

interface Speeds {
  readonly laps: number;
  readonly cornerMs: number;
  readonly intervalsS: number;
  /** Of one core, without intervals. */
  readonly seasonMinutes: number;
  /** Heap in use after each fifth of the laps, 10^6 bytes. */
  readonly heapMb: readonly number[];
}

/** Pairs of laps of every kind: each robot's lap to be laid anew each time, each reference laid once as in a season. */
function pairsOfLaps() {
  const ground = new Recovery(0);
  return cases()
    .filter((_, i) => i % 25 === 7)
    .map((one) => {
      const known: Known = ground.known(one.circuit);
      const robot: Logged = {
        columns: logOf(one.robot().ride, one.robotLogger, `robot ${one.id}`),
        logger: one.robotLogger,
      };
      const columns = logOf(one.reference(), one.referenceLogger, `reference ${one.id}`);
      return { robot, reference: layLap({ columns, logger: one.referenceLogger }, known.circuit), known };
    });
}

/** Gives back what is no longer used, so that memory can be told. */
function collector(): () => void {
  setFlagsFromString('--expose_gc');
  return runInNewContext('gc') as () => void;
}

/** Times laps that are laid anew each time, so that nothing kept from the lap before helps. */
function speeds(): Speeds {
  const collect = collector();
  const pairs = pairsOfLaps();
  const cornersMs: number[] = [];
  const withIntervals: number[] = [];
  const heapMb: number[] = [];
  for (let k = 0; k < LEAST_LAPS; k++) {
    const { robot, reference, known } = pairs[k % pairs.length]!;
    const lap = layLap(robot, known.circuit);
    const began = processorMs();
    const { windows } = causesOf(lap, reference, known, { draws: 0 });
    cornersMs.push((processorMs() - began) / windows.length);
    if (k % 10 === 0) {
      const from = processorMs();
      causesOf(lap, reference, known, { draws: DRAWS });
      withIntervals.push((processorMs() - from) / 1000);
    }
    if (k % (LEAST_LAPS / 5) === LEAST_LAPS / 5 - 1) {
      collect();
      const { heapUsed, arrayBuffers } = process.memoryUsage();
      heapMb.push((heapUsed + arrayBuffers) / 1e6);
    }
  }
  const middle = (list: number[]): number => list.toSorted((a, b) => a - b)[list.length >> 1]!;
  const mean = cornersMs.reduce((sum, x) => sum + x, 0) / cornersMs.length;
  return {
    laps: LEAST_LAPS,
    cornerMs: middle(cornersMs),
    intervalsS: middle(withIntervals),
    seasonMinutes: (mean * SEASON_LAPS * SEASON_CORNERS) / 60_000,
    heapMb,
  };
}

interface Season {
  readonly laps: number;
  readonly corners: number;
  /** Of splitting alone, minutes of one core and minutes by the clock. */
  readonly processorMinutes: number;
  readonly minutes: number;
  /** Resident after each fifth, 10^6 bytes. */
  readonly residentMb: readonly number[];
}

/** As many corners as a season has, lap by lap as a build splits them. */
function season(): Season {
  const collect = collector();
  const pairs = pairsOfLaps();
  const residentMb: number[] = [];
  let [laps, corners, processor, clock] = [0, 0, 0, 0];
  while (corners < SEASON_LAPS * SEASON_CORNERS) {
    const { robot, reference, known } = pairs[laps % pairs.length]!;
    const lap = layLap(robot, known.circuit);
    const [began, from] = [processorMs(), performance.now()];
    const { windows } = causesOf(lap, reference, known, { draws: laps % SESSION_LAPS < 2 ? DRAWS : 0 });
    processor += processorMs() - began;
    clock += performance.now() - from;
    corners += windows.length;
    laps++;
    if (corners >= ((residentMb.length + 1) * SEASON_LAPS * SEASON_CORNERS) / 5) {
      collect();
      residentMb.push(process.memoryUsage().rss / 1e6);
    }
  }
  return { laps, corners, processorMinutes: processor / 60_000, minutes: clock / 60_000, residentMb };
}

function seasonText({ laps, corners, processorMinutes, minutes, residentMb }: Season): string {
  return [
    `${corners} corners in ${laps} laps, intervals for two laps of every ${SESSION_LAPS}: ${processorMinutes.toFixed(1)} minutes of one core, ${minutes.toFixed(1)} by the clock (bar 10 on two cores)`,
    `resident after each fifth: ${residentMb.map((mb) => mb.toFixed(0)).join(', ')} MB`,
  ].join('\n');
}

/** Time of the processor, so that what else the machine does does not count. */
function processorMs(): number {
  const { user, system } = process.cpuUsage();
  return (user + system) / 1000;
}

function speedText({ laps, cornerMs, intervalsS, seasonMinutes, heapMb }: Speeds): string {
  return [
    `a corner of a pair of laps, without intervals   ${cornerMs.toFixed(1)} ms of processor, median of ${laps} laps (bar 20)`,
    `a lap with intervals                            ${intervalsS.toFixed(2)} s of processor, median (bar 2)`,
    `a season of ${SEASON_LAPS} laps of ${SEASON_CORNERS} corners            ${seasonMinutes.toFixed(1)} minutes of one core, by the mean (bar 10 on two)`,
    `heap after each fifth of the laps               ${heapMb.map((mb) => mb.toFixed(0)).join(', ')} MB`,
  ].join('\n');
}

function line(o: Outcome): string {
  const ms = (s: number): string => (1000 * s).toFixed(1).padStart(7);
  const off = [o.ownWithin ? '' : 'own', o.leakWithin ? '' : 'leak'].join(' ').trim();
  return `${o.id.padEnd(13)} ${o.where.padEnd(48)} ${o.change.padEnd(38)} true ${ms(o.trueS)} found ${ms(o.foundS)} leak ${ms(o.leakS)} ${o.leakTo}  (${off})`;
}
