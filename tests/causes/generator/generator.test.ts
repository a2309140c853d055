import { describe, expect, test } from 'vitest';
import { cases, FACTORS } from './cases.ts';
import { bend, course, straight } from './course.ts';
import { circuits } from './courses.ts';
import { referenceWay, rideOf } from './laps.ts';
import { pathOf } from './path.ts';
import { ride } from './ride.ts';
import { dragMps2, MACHINE } from './rider.ts';
import { type Logger, logOf, PERFECT } from './sense.ts';
import { lost, timeAtStation } from './truth.ts';

const grounds = circuits();
const ridden = grounds.map((circuit) => {
  const { way, path } = referenceWay(circuit);
  return { circuit, way, path, ride: rideOf(circuit, way) };
});
const lapS = (one: (typeof ridden)[number]['ride']): number =>
  timeAtStation(one, one.path.course.lengthM) - timeAtStation(one, 0);

describe('courses', () => {
  test('close in place and turn once round', () => {
    for (const { course: c } of grounds) {
      const [start, end] = [{ ...c.at(0) }, { ...c.at(c.lengthM * (1 - 1e-15)) }];
      expect(Math.hypot(end.eastM - start.eastM, end.northM - start.northM), c.name).toBeLessThan(1e-6);
      expect(Math.abs(Math.abs(c.at(c.lengthM + 1).headingRad - c.at(1).headingRad) - 2 * Math.PI)).toBeLessThan(1e-9);
    }
  });

  test('are measured by arc length, and bend as their headings say', () => {
    for (const { course: c } of grounds)
      for (let s = 0.3; s < c.lengthM; s += 7.7) {
        const h = 0.01;
        const [a, m, b] = [{ ...c.at(s - h) }, { ...c.at(s) }, { ...c.at(s + h) }];
        expect(Math.hypot(b.eastM - a.eastM, b.northM - a.northM) / (2 * h)).toBeCloseTo(1, 5);
        expect((b.headingRad - a.headingRad) / (2 * h)).toBeCloseTo(m.curvaturePerM, 5);
      }
  });

  // Clothoid x + iy = A√π (C + iS)(s / A√π) with A² = R L: for A = 45 m at s = 20 m, from tables of road design.
  test('begin a bend along the clothoid of the textbooks', () => {
    const c = course('turn', [
      straight(100, true),
      ...bend('1', (45 * 45) / 40, 120, 40),
      straight(100, true),
      ...bend('2', 60, 120, 30),
      straight(100),
      ...bend('3', 60, 120, 30),
    ]);
    const from = c.apexes[0]!.fromM - 40;
    const [start, place] = [{ ...c.at(from) }, { ...c.at(from + 20) }];
    expect(place.eastM - start.eastM).toBeCloseTo(19.980499587271627, 6);
    expect(place.northM - start.northM).toBeCloseTo(0.6579775857252903, 6);
    expect(place.curvaturePerM).toBeCloseTo(0.009876543209876543, 12);
  });
});

describe('paths', () => {
  test('have the length and the curvature that their own points have', () => {
    const { course: c } = grounds[1]!;
    const path = pathOf(c, [{ atM: 430, heightM: 2, widthM: 25 }]);
    const place = (s: number): [number, number] => {
      const { eastM, northM, headingRad } = c.at(s);
      const [n] = path.offset(s, [0, 0, 0]);
      return [eastM - n * Math.sin(headingRad), northM + n * Math.cos(headingRad)];
    };
    for (let s = 380; s < 480; s += 3.1) {
      const h = 0.25;
      const [[x0, y0], [x1, y1], [x2, y2]] = [place(s - h), place(s), place(s + h)];
      const [a, b, base] = [Math.hypot(x1 - x0, y1 - y0), Math.hypot(x2 - x1, y2 - y1), Math.hypot(x2 - x0, y2 - y0)];
      // Through three points goes one circle: curvature = 4 × area / product of the sides.
      const area = ((x1 - x0) * (y2 - y0) - (x2 - x0) * (y1 - y0)) / 2;
      expect((a + b) / (2 * h)).toBeCloseTo(path.perStation(s), 4);
      expect(Math.abs((4 * area) / (a * b * base) - path.curvature(s))).toBeLessThan(4e-4);
    }
  });
});

describe('rides', () => {
  test('do not depend on the step of the integration', () => {
    for (const { circuit, way, ride: own } of ridden.slice(0, 2))
      expect(Math.abs(lapS(rideOf(circuit, way, 0.05)) - lapS(own))).toBeLessThan(5e-5);
  });

  test('take energy and time as forces and speeds say', () => {
    for (const { ride: own } of ridden) {
      const { stationM, speedMps, timeS, accelerationMps2, path } = own;
      let [work, time, n] = [0, 0, 0];
      for (let i = 1; i < stationM.length; i++) {
        const h = stationM[i]! - stationM[i - 1]!;
        const psi = (path.perStation(stationM[i]!) + path.perStation(stationM[i - 1]!)) / 2;
        // Where a gear change begins or ends the force jumps: the node holds what comes after.
        const jump = Math.abs(accelerationMps2[i]! - accelerationMps2[i - 1]!) > 1;
        work += psi * h * (jump ? accelerationMps2[i - 1]! : (accelerationMps2[i]! + accelerationMps2[i - 1]!) / 2);
        time += (psi * h) / ((speedMps[i]! + speedMps[i - 1]!) / 2);
        n++;
      }
      expect(n).toBeGreaterThan(5000);
      const gained = (speedMps.at(-1)! ** 2 - speedMps[0]! ** 2) / 2;
      // Braking alone turns over ten thousand J/kg a lap.
      expect(Math.abs(work - gained)).toBeLessThan(6);
      expect(time).toBeCloseTo(timeS.at(-1)! - timeS[0]!, 3);
    }
  });

  test('are the same a lap later', () => {
    for (const { ride: own } of ridden) {
      const { lengthM } = own.path.course;
      const later = timeAtStation(own, lengthM + 300) - timeAtStation(own, lengthM);
      expect(later).toBeCloseTo(timeAtStation(own, 300) - timeAtStation(own, 0), 5);
    }
  });

  test('keep within the limits of the machine', () => {
    for (const { ride: own } of ridden) {
      const { stationM, speedMps, accelerationMps2, path } = own;
      for (let i = 0; i < stationM.length; i++) {
        const across = speedMps[i]! ** 2 * path.curvature(stationM[i]!);
        const push = accelerationMps2[i]! + dragMps2(MACHINE, speedMps[i]!) + path.climb(stationM[i]!);
        const along = push > 0 ? push / MACHINE.driveMps2 : (push + MACHINE.engineBrakingMps2) / MACHINE.brakeMps2;
        const use = Math.hypot(across / MACHINE.lateralMps2, push > 0 ? along : Math.min(0, along));
        expect(use, `${path.course.name} at ${stationM[i]!.toFixed(1)} m`).toBeLessThan(1.03);
      }
    }
  });

  // v₁² = F/k + (v₀² − F/k) e^(−2kd), constant drive force F per kilogram against drag k v².
  test('accelerate along a straight as the closed form says', () => {
    const circuit = grounds[0]!;
    const machine = { ...MACHINE, rollingMps2: 0, powerWpkg: 1e9, upshiftsMps: [], driveMps2: 8 };
    const flat = { ...circuit, course: { ...circuit.course, grade: () => 0 } };
    const { way } = referenceWay(circuit);
    const one = ride(flat, pathOf(flat.course, []), machine, way.controls);
    const at = (s: number): number => one.stationM.findIndex((x) => x >= s);
    const [i, k] = [at(20), at(220)];
    const force = (8 * way.controls[0]!.drive) / machine.dragPerM;
    const d = one.stationM[k]! - one.stationM[i]!;
    const v1 = Math.sqrt(force + (one.speedMps[i]! ** 2 - force) * Math.exp(-2 * machine.dragPerM * d));
    expect(one.speedMps[k]).toBeCloseTo(v1, 6);
  });

  // Rule of thumb: m metres too early at equal deceleration cost m (1/v_min − 1/v_b). It knows nothing of braking that
  // fades with lean, which gives some of it back in a hairpin.
  test('lose by early braking what the rule of thumb says', () => {
    for (const [k, passage] of [
      [0, 0],
      [2, 2],
      [3, 4],
    ] as const) {
      const { circuit, way, ride: own } = ridden[k]!;
      const m = 12;
      const controls = way.controls.map((c, i) => (i === passage ? { ...c, marginM: c.marginM + m } : c));
      const early = rideOf(circuit, { ...way, controls });
      const events = own.events.find((e) => e.passage === passage && e.onsetM > 0)!;
      const speed = (s: number): number => own.speedMps[own.stationM.findIndex((x) => x >= s)]!;
      const rule = m * (1 / speed(events.pickUpM - 1) - 1 / speed(events.onsetM));
      const truth = lost(early, own, 0, circuit.course.lengthM);
      expect(Math.abs(truth / rule - 1), `${circuit.course.name}: ${truth} s, by the rule ${rule} s`).toBeLessThan(
        0.12,
      );
    }
  });
});

describe('logs', () => {
  const { ride: own } = ridden[0]!;
  const logger: Logger = { ...PERFECT, armM: [0.2, 0.05, 0.9], toldArmM: [0.2, 0.05, 0.9] };
  const log = logOf(own, logger, 'perfect');

  test('hold an antenna that leans to the inside of the bend', () => {
    const ground = logOf(own, { ...logger, armM: [0, 0, 0] }, 'perfect');
    const high = logOf(own, { ...logger, armM: [0, 0, 0.9] }, 'perfect');
    const roll = log['roll']!;
    let most = 0;
    for (let i = 1; i + 1 < roll.length; i += 11) {
      most = Math.max(most, Math.abs(roll[i]!));
      const way = (name: string): number => ground[name]![i + 1]! - ground[name]![i - 1]!;
      const arm = (name: string): number => high[name]![i]! - ground[name]![i]!;
      // Roll is positive to the right: then the antenna is to the right of the way.
      const leftM = (way('east') * arm('north') - way('north') * arm('east')) / Math.hypot(way('east'), way('north'));
      expect(Math.abs(leftM + 0.9 * Math.sin(roll[i]!))).toBeLessThan(1e-3);
    }
    // tan φ = a/g at 1.3 g, and some for the width of the tyres: 52 to 57 degrees.
    expect((most * 180) / Math.PI).toBeGreaterThan(52);
    expect((most * 180) / Math.PI).toBeLessThan(57);
  });

  test('give a level force of g upwards, and the speed’s slope along', () => {
    const { acc_long: long, acc_lat: lat, acc_vert: vert, roll, speed, time } = log as Record<string, Float64Array>;
    for (let i = 200; i < roll!.length - 200; i += 37) {
      const [c, s] = [Math.cos(roll![i]!), Math.sin(roll![i]!)];
      expect(lat![i]! * s + vert![i]! * c).toBeCloseTo(9.80665, 9);
      const slope = (speed![i + 1]! - speed![i - 1]!) / (time![i + 1]! - time![i - 1]!);
      // But for the few rows in which a force sets in, and for the climbs of this course (2 % of g).
      if (Math.abs(long![i + 1]! - long![i - 1]!) < 0.3) expect(Math.abs(slope - long![i]!)).toBeLessThan(0.4);
    }
  });

  test('show noise of the size that was asked for', () => {
    const noisy = logOf(own, { ...logger, noise: 1 }, 'noisy');
    const again = logOf(own, { ...logger, noise: 1 }, 'noisy');
    expect(noisy['east']).toEqual(again['east']);
    const n = noisy['east']!.length;
    // The same phase of the clock: seeds draw it first.
    const clean = logOf(own, logger, 'noisy');
    const sd = (name: string): number => {
      let sum = 0;
      for (let i = 0; i < n; i++) sum += (noisy[name]![i]! - clean[name]![i]!) ** 2;
      return Math.sqrt(sum / n);
    };
    expect(sd('east')).toBeGreaterThan(0.012);
    expect(sd('east')).toBeLessThan(0.03);
    expect(sd('speed')).toBeCloseTo(0.05, 2);
  });
});

describe('cases', () => {
  const list = cases();
  test('are 200, of every factor, on every circuit, and alike at every call', () => {
    expect(list).toHaveLength(200);
    for (const factor of [...FACTORS, null]) {
      const own = list.filter((one) => one.factor === factor);
      expect(own).toHaveLength(25);
      expect(new Set(own.map(({ circuit }) => circuit.course.name)).size).toBe(5);
    }
    const [a, b] = [list[30]!, cases()[30]!];
    expect(a.robot().change).toBe(b.robot().change);
    expect(a.robotLogger).toEqual(b.robotLogger);
  });

  test('change nothing before the corner that they change', () => {
    for (const one of list.filter((_, i) => i % 29 === 3)) {
      if (one.factor === null) continue;
      const { ride: robot } = one.robot();
      const own = one.reference().events.find(({ passage, onsetM }) => passage === one.passage && onsetM > 0)!;
      const before = one
        .reference()
        .events.filter(({ onsetM }) => onsetM > 0 && onsetM < own.onsetM)
        .at(-1);
      if (!before) continue;
      // From the corner before to the onset less what an early one may take.
      expect(Math.abs(lost(robot, one.reference(), before.pickUpM, own.onsetM - 70))).toBeLessThan(2e-3);
    }
  });
});
