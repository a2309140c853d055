import type { GuidePart } from './guideOf.ts';
import { log, session } from './sheets.ts';

type Codes =
  | 'FILE_MISSING'
  | 'FILE_OUTSIDE'
  | 'FILE_UNREADABLE'
  | 'FORMAT_UNKNOWN'
  | 'ENCODING'
  | 'LOG_LIMIT'
  | 'LOG_EMPTY'
  | 'LOG_CUT';

const MOUNTED = '{ antenna: [0.1, 0, 1.0], sigma: "0.3 m" }';
const GOOD = [
  'time [s],lat [deg],lon [deg]',
  '0.00,43.3608000,4.7612000',
  '0.02,43.3608000,4.7612074',
  '0.04,43.3608000,4.7612149',
];

/** Files as a whole: whether they are there, and whether they can be read to their end. */
export const FILES: GuidePart<Codes> = {
  FILE_MISSING: {
    severities: ['stop'],
    meaning:
      'A file is named and is not there: a log under `runs:`, the circuit under `frame:`, `campaign.md` itself, or any folder with a `session.md`. Upper and lower case count.',
    cost: 'The run has no laps, and everything that would have come from it is absent. The other runs of the session are not touched.',
    before: [session({ position: MOUNTED, runs: '\n  - file: run-1.csv' })],
    cure: 'Copy the file into the session’s folder, or correct its name. Here the folder holds `run-01.csv`.',
    after: [session({ position: MOUNTED })],
    acceptable: true,
    accept:
      'Reasonable where a log is known to be lost and the run is to stay on record, as a run without laps. A missing `campaign.md` or an empty sessions folder cannot be accepted.',
  },
  FILE_OUTSIDE: {
    severities: ['stop'],
    meaning:
      'A session may only name files in its own folder: no `..`, no path from the root, no link that leads out. A folder can then be copied, archived or passed on, and still holds all that its numbers came from.',
    cost: 'The file is not opened, and the run is left out of the session.',
    before: [session({ runs: '\n  - file: ../logs/run-01.csv' })],
    cure: 'Move or copy the log into the session’s folder and name it without a path that leaves it. Folders below the session’s are fine: `logs/run-01.csv`.',
    after: [session({ runs: '\n  - file: logs/run-01.csv' })],
    acceptable: true,
    accept: 'Possible and of little use: acceptance does not open the file, and the run stays out.',
  },
  FILE_UNREADABLE: {
    severities: ['stop'],
    meaning:
      'The file is there, but reading it failed: the system refused, the medium has a fault, or a packed log does not agree with its own checksum. For packed logs the byte is given up to which it was read.',
    cost: 'Nothing of the file is used, not even what stands before the fault: a wrong checksum does not say which bytes are wrong.',
    before: [
      {
        file: 'in the session’s folder',
        text: '-rw------- 1 root  8 412 311  run-01.csv\n-rw-r--r-- 1 team  2 003 968  run-02.csv.gz   (checksum wrong)\n',
      },
    ],
    cure: 'Give yourself the right to read the file. If it is packed, copy it again from the logger, with a program that compares both ends.',
    after: [
      {
        file: 'in the session’s folder',
        text: '-rw-r--r-- 1 team  8 412 311  run-01.csv\n-rw-r--r-- 1 team  2 003 968  run-02.csv.gz   (copied again)\n',
      },
    ],
    acceptable: true,
    accept: 'Reasonable once the source is gone as well. The run then stays on record without laps.',
  },
  FORMAT_UNKNOWN: {
    severities: ['stop'],
    meaning:
      'Logs are recognised by what is in them, not by the name of the file. This one begins like none of the formats that are read, packed or not; the first characters are quoted.',
    cost: 'The run has no laps.',
    before: [
      log(
        '{',
        '  "time": [0.00, 0.02, 0.04],',
        '  "lat": [43.3608000, 43.3608000, 43.3608000],',
        '  "lon": [4.7612000, 4.7612074, 4.7612149]',
        '}',
      ),
    ],
    cure: 'Export the log as CSV: one heading line with the channel and its unit, numbers below it.',
    after: [log(...GOOD)],
    acceptable: true,
    accept:
      'Reasonable for a file that is kept beside the run for another purpose; better is to take it out of `runs:`.',
  },
  ENCODING: {
    severities: ['note'],
    meaning:
      'The text is not in UTF-8. UTF-16 is known for certain by its first bytes. Anything else is read as Windows-1252, the commonest case, and that is a guess.',
    cost: 'Nothing, where the headings look right. A wrong guess shows as odd signs in headings and units, and such a column is then not recognised.',
    before: [
      { ...log('time [s],oil temperature [°C]', '0.00,88.5', '0.02,88.5', '0.04,88.6'), encoding: 'windows-1252' },
    ],
    cure: 'Look whether signs such as ° and µ are right in the headings. If not, or to be rid of the note, export as UTF-8.',
    after: [log('time [s],oil temperature [°C]', '0.00,88.5', '0.02,88.5', '0.04,88.6')],
    acceptable: true,
    accept: 'Reasonable where the headings are right and the logger offers nothing else.',
  },
  LOG_LIMIT: {
    severities: ['stop'],
    meaning:
      'The log passes one of the bounds within which memory is guaranteed: a line of more than 1 MiB, more than 10 000 columns, 24 million values in the channels that are read, 100 MB of GPX, or a packed file that grows out of proportion. Logs of runs stay far below; a damaged file often does not.',
    cost: 'The run has no laps.',
    before: [{ file: 'run-01.csv', text: 'time [s],c1,c2,c3, … ,c12000\n0.00,1,1,1, … ,1\n' }],
    cure: 'Check that this is the log and not damaged. Then export the channels that are needed, or the session in one file a run.',
    after: [log(...GOOD)],
    acceptable: true,
    accept: 'Only to keep the run on record without its laps: the bounds do not move.',
  },
  LOG_EMPTY: {
    severities: ['stop'],
    meaning:
      'The file holds no sample: it is empty, has a heading and no row below it, or is a GPX file without a track. Loggers leave such files when they are switched on and off again.',
    cost: 'The run has no laps.',
    before: [log('time [s],lat [deg],lon [deg]')],
    cure: 'Export the log again. If nothing was recorded, take the run out of the session file.',
    after: [log(...GOOD)],
    acceptable: true,
    accept: 'Reasonable where the run took place, was not recorded, and should be seen in the report.',
  },
  LOG_CUT: {
    severities: ['warn', 'note'],
    meaning:
      'The file stops before its end: within a row, within an XML element, within a packed stream, or with zeros where rows should be. It is what a loss of power or an unfinished copy leaves. A last row that only lacks its line end is a note.',
    cost: 'Everything before the break is used. The lap on which the log breaks off is not whole and does not count.',
    before: [{ file: 'run-01.csv', text: `${GOOD.join('\n')}\n0.06,43.36` }],
    cure: 'Copy the log again if the source has more; the place and the byte of the break are given. A row that will never be complete can be deleted in a copy.',
    after: [log(...GOOD, '0.06,43.3608000,4.7612223')],
    acceptable: true,
    accept: 'Reasonable where the source ends there too. Laps that are whole count in any case.',
  },
};
