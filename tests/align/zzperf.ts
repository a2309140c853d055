import { alignLap } from '../../src/align/alignLap.ts';
import { alignRun } from '../../src/align/alignRun.ts';
import { cutLaps } from '../../src/laps/laps.ts';
import { traceOf } from '../../src/laps/trace.ts';
import { riders } from '../simulator/riders.ts';
import { saltmarsh } from '../simulator/saltmarsh.ts';
import { simulateRun } from '../simulator/simulateRun.ts';
import { circuitOf } from './courses.ts';
import { logOf, recordingOf, setupOf } from './laidLog.ts';
const c = saltmarsh();
const circuit = circuitOf(c.course);
for (const positionHz of [100, 20]) {
const sim = simulateRun({ course: c.course, bends: c.bends, rider: riders(c).reference, laps: 5, start: 'pit', end: 'rolling', pitOffsetM: -19, seed: 'a' }, { rateHz: 100, positionHz, positionNoiseM: 0.02, speedNoiseMps: 0.05, antenna: [0.3, 0, 1], latencyS: 0.04 });
const rec = recordingOf(logOf(sim));
const setup = setupOf({ position: { antennaM: [0.3, 0, 1], latencyS: 0.04 } });
for (let k = 0; k < 3; k++) {
  const t0 = performance.now();
  const { trace } = traceOf(rec, setup, null, null);
  const t1 = performance.now();
  const run = alignRun(trace!, circuit);
  const t2 = performance.now();
  const laps = cutLaps(trace!, circuit.gate, setup);
  const t3 = performance.now();
  const al = laps.map((l) => alignLap(run, l));
  const t4 = performance.now();
  console.log(rec.rows, al.length, 'trace', (t1 - t0).toFixed(0), 'align', (t2 - t1).toFixed(0), 'cut', (t3 - t2).toFixed(0), 'laps', (t4 - t3).toFixed(0), 'sum', (t4 - t0).toFixed(0));
}
}
