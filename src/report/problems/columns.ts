import type { GuidePart } from './guideOf.ts';
import { log, session } from './sheets.ts';

type Codes = 'UNIT_UNKNOWN' | 'COLUMN_MISSING' | 'COLUMN_TWICE' | 'CHANNEL_MISSING';

/** From columns to channels. */
export const COLUMNS: GuidePart<Codes> = {
  UNIT_UNKNOWN: {
    severities: ['stop', 'warn'],
    meaning:
      'The unit of a column is not a UCUM code, or measures something else than the channel: a speed in degrees. Where no unit is given at all, the one of the channel is assumed, as a warning. Times that run from 59 to 100 are taken as hours, minutes and seconds without colons.',
    cost: 'With a unit that does not convert the column is not used, and what rests on it is missing. An assumed unit that is wrong spoils every number of the channel by its factor.',
    before: [log('time [s],speed [kph]', '0.00,182.4', '0.02,182.6', '0.04,182.7')],
    cure: 'Correct the heading, or leave the log alone and give the unit in the session file: `columns: { speed: { from: "speed [kph]", unit: "km/h" } }`.',
    after: [log('time [s],speed [km/h]', '0.00,182.4', '0.02,182.6', '0.04,182.7')],
    acceptable: true,
    accept: 'Reasonable for a channel that the report can do without. An assumed unit should be stated, not accepted.',
  },
  COLUMN_MISSING: {
    severities: ['stop'],
    meaning:
      'The session file takes a channel from a column that the log does not have. Headings are compared letter by letter, with or without their unit in brackets; those of the log are listed. `gapbook new circuit` says the same of a table without x and y, or lat and lon.',
    cost: 'The channel is missing for this run. Loggers change headings with their firmware, and a channel that vanished unnoticed would look like a rider who no longer brakes.',
    before: [
      session({ columns: '\n  speed: { from: Speed, unit: "km/h" }' }),
      log('time [s],Ground speed', '0.00,182.4', '0.02,182.6', '0.04,182.7'),
    ],
    cure: 'Correct `from:`. Where runs of one session have other headings, give `columns:` on the run. If the channel was not recorded, take the line out.',
    after: [session({ columns: '\n  speed: { from: Ground speed, unit: "km/h" }' })],
    acceptable: true,
    accept: 'Reasonable where a sensor failed in one run of several and `columns:` speaks for all of them.',
  },
  COLUMN_TWICE: {
    severities: ['warn'],
    meaning:
      'Two columns of the log claim the same channel, as when the receiver and the dash each wrote a speed. The first is used, the second listed among the columns without a meaning.',
    cost: 'If the first is the worse of the two, all that rests on the channel is worse than it had to be.',
    before: [log('time [s],speed [km/h],Speed [m/s]', '0.00,182.4,50.6', '0.02,182.6,50.7', '0.04,182.7,50.7')],
    cure: 'Rename one of them, or say which one counts: `columns: { speed: { from: "Speed [m/s]", unit: "m/s" } }`.',
    after: [log('time [s],speed [km/h],Dash speed [m/s]', '0.00,182.4,50.6', '0.02,182.6,50.7', '0.04,182.7,50.7')],
    acceptable: true,
    accept: 'Reasonable where the first column is the one you want.',
  },
  CHANNEL_MISSING: {
    severities: ['stop'],
    meaning:
      'A channel without which no lap can be cut is not there: the time, or a position (`lat` and `lon`, or `east` and `north`). A position that is there but has fewer than ten different values in the whole log counts as none.',
    cost: 'The run has no laps.',
    before: [
      log(
        'clock,lat [deg],lon [deg]',
        '0.00,43.3608000,4.7612000',
        '0.02,43.3608000,4.7612074',
        '0.04,43.3608000,4.7612149',
      ),
    ],
    cure: 'Rename the column, or name it in the session file: `columns: { time: { from: clock, unit: "s" } }`. Where the position stands still, check that the receiver had a fix.',
    after: [
      log(
        'time [s],lat [deg],lon [deg]',
        '0.00,43.3608000,4.7612000',
        '0.02,43.3608000,4.7612074',
        '0.04,43.3608000,4.7612149',
      ),
    ],
    acceptable: true,
    accept: 'Reasonable for a run whose receiver failed and that should stay on record without laps.',
  },
};
