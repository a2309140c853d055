import { expect, test } from 'vitest';
import { carryOver } from '../../src/causes/carryOver.ts';
import { windowsOf } from '../../src/causes/windows.ts';

const corner = (name: string, a: number) => ({
  name,
  direction: 'left' as const,
  entryM: a + 20,
  exitM: a + 50,
  radiusM: 30,
  brakes: true,
  a,
  b: a + 5,
  r: a + 20,
  p: a + 40,
});
const map = (corners: ReturnType<typeof corner>[], lengthM = 1000) => ({
  version: 1,
  circuit: 'x',
  lengthM,
  madeFrom: '',
  corners,
});

test('windows tile the lap; the one that the gate cuts comes in two parts', () => {
  const windows = windowsOf(map([corner('1', 900), corner('2', 300), corner('3', 600)]));
  expect(windows.map(({ corner: c, part, fromM, toM }) => [c.name, part, fromM, toM])).toEqual([
    ['1', 'from gate', 0, 300],
    ['2', null, 300, 600],
    ['3', null, 600, 900],
    ['1', 'to gate', 900, 1000],
  ]);
});

test('a single corner goes all the way round', () => {
  const windows = windowsOf(map([corner('1', 400)]));
  expect(windows.map(({ fromM, toM }) => [fromM, toM])).toEqual([
    [0, 400],
    [400, 1000],
  ]);
});

// By hand: carry −1 s per 10 energy; the drive before made 20 less, the grip 10 more, so 10 less arrive and cost 1 s:
// 2 s to drive, −1 s to grip.
test('what a lap brings along is charged to who made it, and nothing is lost', () => {
  const links = [
    { shareS: Float64Array.of(0.5, 0.2, 0), shareOfEnd: Float64Array.of(-20, 10, 0), perEnergyS: -0.1 },
    { shareS: Float64Array.of(0, 0, 1), shareOfEnd: Float64Array.of(0, 0, 0), perEnergyS: -0.1 },
  ];
  const made = carryOver(links, 2);
  expect([...made[0]!]).toEqual([2.5, -0.8, 0]);
  expect([...made[1]!]).toEqual([0, 0, 0]);
});
