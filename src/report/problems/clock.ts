import type { GuidePart } from './guideOf.ts';
import { log } from './sheets.ts';

type Codes = 'TIME_MISSING' | 'TIME_RANGE' | 'TIME_ORDER' | 'TIME_BACK' | 'TIME_REPEATED';

/** A short ride to the east at 30 m/s, five rows a second, with these stamps. */
const ride = (heading: string, stamps: readonly string[]) =>
  log(
    `${heading},lat [deg],lon [deg]`,
    ...stamps.map((stamp, i) => `${stamp},43.3608000,${(4.7612 + i * 0.0000741).toFixed(7)}`),
  );
const tenths = (...tenths: number[]): string[] => tenths.map((t) => (t / 10).toFixed(1));
const RISING = tenths(0, 2, 4, 6, 8, 10, 12, 14, 16, 18, 20, 22);

/** Stamps of the rows. */
export const CLOCK: GuidePart<Codes> = {
  TIME_MISSING: {
    severities: ['stop', 'warn'],
    meaning:
      'Rows carry no stamp, so nothing says when their values were true. It stops where more than half of the rows are without one.',
    cost: 'These rows are set aside. The rest is used as if they had not been logged.',
    before: [ride('time [s]', ['0.0', '0.2', '', '0.6', '0.8'])],
    cure: 'Export the log with a time in every row. Where only one of several streams carries the time, export that stream, or let the logger fill the column.',
    after: [ride('time [s]', tenths(0, 2, 4, 6, 8))],
    acceptable: true,
    accept: 'Reasonable where rows without a stamp are known to be of no use, such as those before the clock was set.',
  },
  TIME_RANGE: {
    severities: ['stop', 'warn'],
    meaning:
      'Stamps lie before 1973 or after 2100. If all do, the unit is wrong: often Unix time in milliseconds that is headed as seconds. If some do, the clock of the logger was not set yet.',
    cost: 'Rows with such a stamp are set aside. If that is every row, the run has no laps.',
    before: [ride('time [s]', ['1767867300000', '1767867300200', '1767867300400', '1767867300600'])],
    cure: 'Correct the heading or give the unit in the session file: `columns: { time: { from: time, unit: "ms" } }`.',
    after: [ride('time [ms]', ['1767867300000', '1767867300200', '1767867300400', '1767867300600'])],
    acceptable: true,
    accept: 'Reasonable for the first seconds of a log, before the receiver knew the time.',
  },
  TIME_ORDER: {
    severities: ['warn'],
    meaning:
      'Single rows have a stamp before that of a row above them, and the clock then goes on where it was: they were written late. Loggers that merge several streams do so.',
    cost: 'Nothing is lost: each row is used at its time. If it is the stamps that are wrong, the positions of these rows are true at another time than it seems.',
    before: [ride('time [s]', tenths(0, 2, 4, 8, 6, 10, 12, 14, 16, 18, 20, 22))],
    cure: 'Export the log sorted by time. In this example only the stamps were exchanged, which is the other possibility.',
    after: [ride('time [s]', RISING)],
    acceptable: true,
    accept: 'Reasonable where the logger is known to write one stream late.',
  },
  TIME_BACK: {
    severities: ['warn'],
    meaning:
      'The clock falls back and stays there: the logger was started again, or its clock was set during the run. What follows is laid behind the break, one usual step later.',
    cost: 'Laps before and after are used. The lap across the break is not valid, since how long the break took is not known.',
    before: [ride('time [s]', tenths(60, 62, 64, 66, 68, 70, 0, 2, 4, 6, 8, 10))],
    cure: 'If the logger started anew, split the file there and give its parts as two runs. If only the clock was set, correct the stamps of one part.',
    after: [ride('time [s]', tenths(60, 62, 64, 66, 68, 70, 72, 74, 76, 78, 80, 82))],
    acceptable: true,
    accept: 'Reasonable where the break lies in the pits or on a lap that does not matter.',
  },
  TIME_REPEATED: {
    severities: ['warn', 'note'],
    meaning:
      'Several rows carry the same stamp. It is a note up to one row in twenty; above that a warning, and then the stamps are probably rounded to fewer digits than the rate needs.',
    cost: 'The first row of each stamp is used. With rounded stamps most rows are lost, and what remains is late or early by up to half a digit: 5 ms at 50 m/s are 25 cm.',
    before: [ride('time [s]', tenths(0, 2, 4, 4, 8, 10, 12, 14, 16, 18, 20, 22))],
    cure: 'Export the time with all its digits. If two devices write rows of their own, export one of them, or both sampled on one clock.',
    after: [ride('time [s]', RISING)],
    acceptable: true,
    accept: 'Reasonable where the repeated rows hold the same values, as when a logger writes a row again.',
  },
};
