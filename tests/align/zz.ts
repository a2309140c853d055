import { bendsOf } from '../simulator/bendsOf.ts';
import { plainRider } from '../simulator/plainRider.ts';
import { simulateRun } from '../simulator/simulateRun.ts';
import { circuitOf, comb, figureEight, rounded } from './courses.ts';
import { accountOf, laid, logOf, stationErrors, without } from './laidLog.ts';

for (const [name, make] of Object.entries({ rounded, figureEight, comb })) {
  const course = make();
  const circuit = circuitOf(course);
  console.log(name, course.lengthM, circuit.lengthM);
  const sim = simulateRun(
    { course, bends: bendsOf(course), rider: plainRider(course), laps: 2, start: 'rolling', end: 'rolling', seed: 'a' },
    { rateHz: 50 },
  );
  for (const log of [logOf(sim), without(logOf(sim), 'speed')]) {
    const l = laid(log, circuit);
    console.log(
      stationErrors(l),
      accountOf(l),
      [...l.aligned.values()].map((a, i) => (a.timeS! - sim.truth.lapTimesS[a.lap.number - 1]!) * 1000),
      l.laps.map((x) => [x.number, x.kind, JSON.stringify(x.reasons)]),
    );
  }
}
