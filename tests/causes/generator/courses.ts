import { bend, type Course, course, doubleBend, type Stretch, straight } from './course.ts';

/** How a rider takes a bend, or two of them in one go: the names of its apexes in order. */
export interface Passage {
  readonly name: string;
  readonly apexes: readonly string[];
  readonly entry: 'brake' | 'lift';
  readonly kind: 'plain' | 'hairpin' | 'fast' | 'double apex' | 'chicane' | 'no braking' | 'after a long straight';
}

export interface Circuit {
  readonly course: Course;
  readonly passages: readonly Passage[];
}

const brakes = (kind: Passage['kind'], name: string, ...apexes: string[]): Passage => ({
  name,
  apexes: apexes.length > 0 ? apexes : [name],
  entry: 'brake',
  kind,
});
const lifts = (name: string): Passage => ({ name, apexes: [name], entry: 'lift', kind: 'no braking' });

/** Five closed courses between them hold each kind of bend. Lengths of the free straights come out of the closing. */
export function circuits(): Circuit[] {
  const tight = doubleBend('4', { radiusM: 56, turnDeg: 36 }, 130, { radiusM: 50, turnDeg: 30 }, 22);
  const narrowing = doubleBend('4', { radiusM: 44, turnDeg: -62 }, 80, { radiusM: 40, turnDeg: -40 }, 20);
  const quarry: Stretch[] = [
    straight(612, true),
    ...bend('1', 28, 165, 26),
    straight(163),
    ...bend('2', 235, -40, 40),
    straight(172, true),
    ...bend('3', 55, 110, 32),
    straight(277),
    ...bend('4', 72, 125, 38),
    straight(90),
  ];
  const canal: Stretch[] = [
    straight(355, true),
    ...bend('1', 34, -58, 24),
    ...bend('2', 38, 63, 26),
    straight(148),
    ...bend('3', 48, 135, 30),
    straight(696, true),
    ...tight.stretches,
    straight(412),
    ...bend('5', 38, 220 - tight.turnDeg, 26),
    straight(90),
  ];
  const heath: Stretch[] = [
    straight(420, true),
    ...bend('1', 98, 80, 48),
    straight(226),
    ...bend('2', 260, 45, 50),
    straight(400, true),
    ...bend('3', 26, 170, 24),
    straight(151),
    ...bend('4', 190, -60, 50),
    straight(468),
    ...bend('5', 66, 125, 36),
    straight(90),
  ];
  const dunes: Stretch[] = [
    straight(368, true),
    ...bend('1', 42, -95, 28),
    straight(145),
    ...bend('2', 84, -70, 40),
    straight(298),
    ...bend('3', 55, 60, 30),
    straight(164, true),
    ...narrowing.stretches,
    straight(533),
    ...bend('5', 50, -(360 - 105) - narrowing.turnDeg, 30),
    straight(90),
  ];
  const terraces: Stretch[] = [
    straight(272, true),
    ...bend('1', 40, 100, 28),
    straight(145),
    ...bend('2', 52, -60, 30),
    straight(134, true),
    ...bend('3', 62, 80, 34),
    straight(256),
    ...bend('4', 215, 45, 45),
    straight(469),
    ...bend('5', 30, 120, 25),
    straight(412),
    ...bend('6', 31, -50, 22),
    ...bend('7', 35, 60, 24),
    straight(363),
    ...bend('8', 78, 65, 38),
    straight(90),
  ];
  return [
    {
      course: course('quarry', quarry, 3),
      passages: [brakes('after a long straight', '1'), lifts('2'), brakes('plain', '3'), brakes('fast', '4')],
    },
    {
      course: course('canal', canal),
      passages: [
        brakes('chicane', '1-2', '1', '2'),
        brakes('plain', '3'),
        brakes('double apex', '4', '4a', '4b'),
        brakes('plain', '5'),
      ],
    },
    {
      course: course('heath', heath),
      passages: [brakes('fast', '1'), lifts('2'), brakes('hairpin', '3'), lifts('4'), brakes('plain', '5')],
    },
    {
      course: course('dunes', dunes, 2),
      passages: [
        brakes('after a long straight', '1'),
        brakes('fast', '2'),
        brakes('plain', '3'),
        brakes('double apex', '4', '4a', '4b'),
        brakes('plain', '5'),
      ],
    },
    {
      course: course('terraces', terraces),
      passages: [
        brakes('plain', '1'),
        brakes('plain', '2'),
        brakes('plain', '3'),
        lifts('4'),
        brakes('hairpin', '5'),
        brakes('chicane', '6-7', '6', '7'),
        brakes('fast', '8'),
      ],
    },
  ];
}
