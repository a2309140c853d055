import { describe, expect, test } from 'vitest';
import { type ClosedLine, closedLine, Foot, LinePoint } from '../../src/circuit/line.ts';
import { smoothClosed } from '../../src/circuit/smooth.ts';
import { readColumns, withReference } from '../reference/folder.ts';

/** Even numbers from 0 to 1 from a seed (linear congruential, Numerical Recipes' constants), and normal ones. */
function generator(seed: number) {
  let state = seed;
  const even = (): number => {
    state = (Math.imul(state, 1664525) + 1013904223) >>> 0;
    return state / 2 ** 32;
  };
  const normal = (): number => Math.sqrt(-2 * Math.log(1 - even())) * Math.cos(2 * Math.PI * even());
  return { even, normal };
}

interface Ride {
  rateHz: number;
  noiseM: number;
  laps: number;
}

/** Laps as a logger would have them: slower in bends, each with its own pace, noise on every point, ends left open. */
function ride(truth: ClosedLine, { rateHz, noiseM, laps }: Ride, seed = 1) {
  const { even, normal } = generator(seed);
  const place = new LinePoint();
  return Array.from({ length: laps }, (_, lap) => {
    const east: number[] = [];
    const north: number[] = [];
    for (let s = even() * 0.5; s < truth.lengthM; ) {
      truth.at(s, place);
      east.push(place.eastM + noiseM * normal());
      north.push(place.northM + noiseM * normal());
      // 9 m/s² across, 70 m/s at most.
      const speed = Math.min(70, Math.sqrt(9 / Math.max(Math.abs(place.curvaturePerM), 1e-9)));
      s += (speed * (1 + 0.02 * lap)) / rateHz;
    }
    return { eastM: Float64Array.from(east), northM: Float64Array.from(north) };
  });
}

/** Root mean square and largest distance of a line from the truth, and the largest difference of stations. */
function compare(got: { eastM: Float64Array; northM: Float64Array }, truth: ClosedLine) {
  const line = closedLine(got.eastM, got.northM);
  const place = new LinePoint();
  const foot = new Foot();
  let [squares, most] = [0, 0];
  const n = 2000;
  for (let k = 0; k < n; k++) {
    line.at((k / n) * line.lengthM, place);
    truth.foot(place.eastM, place.northM, foot.stationM, foot);
    squares += foot.offsetM ** 2;
    most = Math.max(most, Math.abs(foot.offsetM));
  }
  return { rmsM: Math.sqrt(squares / n), mostM: most, lengthM: line.lengthM, line };
}

withReference('noisy laps of b-curves/course-rounded.csv', () => {
  const { x_m, y_m } = readColumns('b-curves/course-rounded.csv') as Record<'x_m' | 'y_m', Float64Array>;
  const truth = closedLine(x_m, y_m);
  // Bounds: a point's noise over the root of the points in half a wave of about 60 m, four times for the largest; at 1 Hz
  // a wave holds only a few points of each lap.
  test.each<[Ride, number, number]>([
    [{ rateHz: 200, noiseM: 0.5, laps: 5 }, 0.05, 0.2],
    [{ rateHz: 10, noiseM: 0.5, laps: 5 }, 0.2, 0.6],
    [{ rateHz: 1, noiseM: 0.5, laps: 8 }, 0.4, 1.6],
    [{ rateHz: 25, noiseM: 0.02, laps: 1 }, 0.015, 0.05],
  ])('%o: the line is recovered', (how, rmsM, mostM) => {
    const got = smoothClosed(ride(truth, how));
    const { rmsM: rms, mostM: most, lengthM, line } = compare(got, truth);
    expect(rms).toBeLessThan(rmsM);
    expect(most).toBeLessThan(mostM);
    expect(Math.abs(lengthM - truth.lengthM)).toBeLessThan(0.5);
    // Noise across the line is what is left; the fit takes at most a tenth of it away.
    expect(got.residualRmsM / how.noiseM).toBeGreaterThan(0.85);
    expect(got.residualRmsM / how.noiseM).toBeLessThan(1.1);
    // From beside the first points on, evenly.
    expect(Math.hypot(got.eastM[0]!, got.northM[0]!)).toBeLessThan(2 + 3 * how.noiseM);
    expect(line.points).toBe(1500);
  });
});

const turn = Array.from({ length: 720 }, (_, i) => (2 * Math.PI * i) / 720);
const shape = (f: (t: number) => readonly [number, number]): ClosedLine =>
  closedLine(
    turn.map((t) => f(t)[0]),
    turn.map((t) => f(t)[1]),
  );
const eight = (a: number) =>
  shape((t) => {
    const shrink = 1 + Math.sin(t) ** 2;
    return [(a * Math.cos(t)) / shrink, (a * Math.sin(t) * Math.cos(t)) / shrink];
  });

describe('one line through several laps', () => {
  test('a crossing and a hairpin are followed at 1 Hz', () => {
    // A thin ellipse: limbs 40 m apart, tips of 2.7 m radius.
    for (const truth of [eight(200), shape((t) => [150 * Math.cos(t), 20 * Math.sin(t)])]) {
      const { rmsM } = compare(smoothClosed(ride(truth, { rateHz: 1, noiseM: 0.1, laps: 8 })), truth);
      expect(rmsM).toBeLessThan(0.5);
    }
  });

  test('a model circuit of 15 m is as well recovered as a large one', () => {
    const truth = eight(2.8);
    const laps = ride(eight(280), { rateHz: 25, noiseM: 0.3, laps: 4 }).map(({ eastM, northM }) => ({
      eastM: eastM.map((x) => x / 100),
      northM: northM.map((y) => y / 100),
    }));
    const got = smoothClosed(laps);
    expect(compare(got, truth).rmsM).toBeLessThan(0.001);
    expect(got.residualRmsM).toBeCloseTo(0.003, 3);
  });

  test('the spacing is the one asked for', () => {
    const got = smoothClosed(ride(eight(280), { rateHz: 25, noiseM: 0.1, laps: 2 }), 5);
    expect(Math.hypot(got.eastM[1]! - got.eastM[0]!, got.northM[1]! - got.northM[0]!)).toBeCloseTo(5, 1);
  });

  test('single points far off and missing points do not bend it', () => {
    const truth = eight(280);
    const laps = ride(truth, { rateHz: 25, noiseM: 0.05, laps: 3 });
    for (const { eastM, northM } of laps) {
      for (let i = 20; i < eastM.length; i += 97) northM[i]! += 6;
      eastM[11] = Number.NaN;
    }
    expect(compare(smoothClosed(laps), truth).mostM).toBeLessThan(0.2);
  });

  test('shifted and turned laps give the shifted and turned line', () => {
    const laps = ride(eight(280), { rateHz: 10, noiseM: 0.2, laps: 3 });
    const moved = laps.map(({ eastM, northM }) => ({
      eastM: northM.map((y) => -y + 4000),
      northM: eastM.map((x) => x - 900),
    }));
    const [plain, there] = [smoothClosed(laps), smoothClosed(moved)];
    for (let k = 0; k < plain.eastM.length; k += 50) {
      expect(
        Math.hypot(there.eastM[k]! - 4000 + plain.northM[k]!, there.northM[k]! + 900 - plain.eastM[k]!),
      ).toBeLessThan(1e-3);
    }
  });

  test('laps that go nowhere are refused', () => {
    expect(() => smoothClosed([])).toThrow(RangeError);
    const still = { eastM: new Float64Array(100), northM: new Float64Array(100) };
    expect(() => smoothClosed([still])).toThrow(RangeError);
  });
});
