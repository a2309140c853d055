import { expect, test } from 'vitest';
import type { CauseKey } from '../../src/causes/list.ts';
import { circuits } from './generator/courses.ts';
import { referenceWay, rideOf, type Way } from './generator/laps.ts';
import type { Controls } from './generator/rider.ts';
import { logOf, PERFECT } from './generator/sense.ts';
import { lost } from './generator/truth.ts';
import { causesOf, circuitOf, known, layLap } from './throughPipeline.ts';

// I11 of the method: enlarging one defect alone does not shrink its own share. Each defect grows in one corner, ridden by
// the generator, which shares no code with the product, and logged without noise.

const ground = circuits()[0]!;
const { way, middles } = referenceWay(ground);
/** A braked corner between two straights. */
const PASSAGE = 2;
const circuit = circuitOf(ground.course);
const lapOf = (ridden: Way) =>
  layLap({ columns: logOf(rideOf(ground, ridden), PERFECT, 'x'), logger: PERFECT }, circuit);
const reference = lapOf(way);
const here = known(circuit, [reference]);

const own = way.controls[PASSAGE]!;
const ridden = (keys: Partial<Controls>): Way => ({
  ...way,
  controls: way.controls.map((one, i) => (i === PASSAGE ? { ...one, ...keys } : one)),
});
const [middle] = middles[PASSAGE]!;
const sign = Math.sign(
  ground.course.apexes.find(({ name }) => name === ground.passages[PASSAGE]!.apexes[0])!.curvaturePerM,
);

const DEFECTS: { causes: CauseKey[]; sizes: number[]; of: (size: number) => Way }[] = [
  { causes: ['onset'], sizes: [2, 5, 9, 14, 20], of: (m) => ridden({ marginM: own.marginM + m }) },
  {
    causes: ['intensity'],
    sizes: [0.03, 0.07, 0.12, 0.18],
    of: (share) => ridden({ intensity: own.intensity * (1 - share) }),
  },
  {
    causes: ['grip'],
    sizes: [0.02, 0.04, 0.07, 0.11],
    of: (share) => ridden({ grips: own.grips.map((g) => g * (1 - share)) }),
  },
  { causes: ['pickUp'], sizes: [2, 5, 9, 14, 20], of: (m) => ridden({ pickUpM: own.pickUpM + m }) },
  { causes: ['drive'], sizes: [0.02, 0.05, 0.09, 0.14], of: (share) => ridden({ drive: own.drive * (1 - share) }) },
  { causes: ['shifts'], sizes: [0.04, 0.08, 0.13, 0.2], of: (s) => ridden({ shiftS: own.shiftS + s }) },
  {
    // A line is judged with the speed that it makes, as in the method.
    causes: ['lineLength', 'lineShape', 'grip'],
    sizes: [0.3, 0.6, 0.9, 1.2],
    of: (m) => ({
      ...way,
      bumps: [...way.bumps, { atM: middle!.centreM, heightM: -sign * m, widthM: 28 }],
    }),
  },
];

test.each(DEFECTS)('the larger a single defect, the larger its share: $causes', ({ causes, sizes, of }) => {
  // A way round may be better at first and worse further out: how large a defect is, is told by the generator's clock.
  const rides = sizes
    .map((size) => ({ size, trueS: lost(rideOf(ground, of(size)), rideOf(ground, way), 0, ground.course.lengthM) }))
    .toSorted((x, y) => x.trueS - y.trueS);
  const shares = rides.map(({ size }) => {
    const { windows } = causesOf(lapOf(of(size)), reference, here, {});
    return windows.reduce(
      (sum, w) => sum + w.causes.reduce((own, c) => (causes.includes(c.cause) ? own + c.madeS : own), 0),
      0,
    );
  });
  const words = shares.map((s) => s.toFixed(4)).join(', ');
  for (let i = 1; i < shares.length; i++) expect(shares[i]!, words).toBeGreaterThan(shares[i - 1]!);
});
