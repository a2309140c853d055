import type { GuidePart, Sheet } from './guideOf.ts';
import { circuit, log, session } from './sheets.ts';

type Codes = 'CIRCUIT_INVALID' | 'GATE_NOT_CROSSED' | 'PHASES_INVALID' | 'PHASES_UNWRITABLE' | 'REFERENCE_MISSING';

const CORNERS = [
  '{ name: "1", direction: left, entryM: 260, exitM: 440, radiusM: 55, brakes: true, a: 40, b: 210, r: 300, p: 350 }',
  '{ name: "2", direction: left, entryM: 950, exitM: 1130, radiusM: 55, brakes: true, a: 700, b: 900, r: 990, p: 1040 }',
];
const phases = (...corners: string[]): Sheet => ({
  file: 'saltmarsh.phases.yaml',
  text: `version: 2
circuit: saltmarsh
lengthM: 1380.0
madeFrom: "2026-01-05-reference, 2 lap(s)"
corners:
${corners.map((corner) => `  - ${corner}`).join('\n')}
`,
});
const campaign = (reference: string): Sheet => ({
  file: 'campaign.md',
  text: `---
title: Saltmarsh
riders:
  robot: { name: Robot, kind: robot }
  reference: { name: Reference rider, kind: human }
reference: ${reference}
---
`,
});

/** Twelve rows at 24 m/s, two a second, eastward or westward. */
const ride = (lat: string, lon: number, direction: 1 | -1) =>
  log(
    'time [s],lat [deg],lon [deg]',
    ...Array.from(
      { length: 12 },
      (_, i) => `${(i / 2).toFixed(1)},${lat},${(lon + direction * (i - 5.5) * 0.000148).toFixed(6)}`,
    ),
  );
const MOUNTED = session({ position: '{ antenna: [0.1, 0, 1.0], sigma: "0.3 m" }' });

/** Circuits, phase maps and the reference lap. */
export const CIRCUIT: GuidePart<Codes> = {
  CIRCUIT_INVALID: {
    severities: ['stop', 'warn', 'note'],
    meaning:
      'A circuit is a GeoJSON file with a closed reference line in the direction of travel and a gate across it; edges, corners and sectors may be added. Something in the file is missing, drawn wrong, or not GeoJSON. What concerns line or gate stops; the rest is left out with a warning or a note.',
    cost: 'Without line and gate the circuit cannot be used, and every session on it is left out. A corner or an edge that is left out costs a name or a drawing.',
    before: [
      circuit('saltmarsh.geojson', {
        gate: [
          [0, -104],
          [0, -80],
        ],
      }),
    ],
    cure: 'Draw the gate as a short line across the whole course, so that the reference line passes it once. `gapbook new circuit` writes a file that holds.',
    after: [circuit('saltmarsh.geojson')],
    acceptable: false,
    accept:
      'Not possible: a circuit belongs to the campaign, not to one session. Only for the circuit under `frame:` of a run can the session file accept it; the run then has no laps.',
  },
  GATE_NOT_CROSSED: {
    severities: ['warn', 'note'],
    meaning:
      'The run never passes between the posts of the gate in the direction of travel. The log covers only a part of the lap, the session names the wrong circuit, the line is drawn against travel, or the gate is too short for the line taken. For runs of another `kind` than laps it is a note.',
    cost: 'No lap begins, so there is no lap time and no gap.',
    before: [MOUNTED, ride('43.361071', 4.76, -1)],
    cure: 'Use a log that goes from pit exit to return. If the machine did pass the line, look at the gate: both posts should stand outside the course. A run that is not meant to have laps says so: `kind: low-speed`.',
    after: [MOUNTED, ride('43.358920', 4.76, 1)],
    acceptable: true,
    accept: 'Reasonable for a run that ended before the first full lap.',
  },
  PHASES_INVALID: {
    severities: ['stop'],
    meaning:
      'The phase map says where braking, apex and drive of each corner begin. Its stations have to rise round the lap without a gap: a, b, r, p, then the a of the next corner; and it has to be for a lap of this length. It is also said where no corner can be found in the reference’s laps.',
    cost: 'Without a map there is no ledger on this circuit: laps have times, and their gap is not split.',
    before: [phases(CORNERS[0]!, CORNERS[1]!.replace('p: 1040', 'p: 940'))],
    cure: 'Correct the station that is named and raise `version:`. If the line or the gate of the circuit has moved, make a new map with `gapbook new phases`.',
    after: [phases(...CORNERS)],
    acceptable: false,
    accept: 'Not possible: the map holds for all sessions on the circuit.',
  },
  PHASES_UNWRITABLE: {
    severities: ['warn'],
    meaning:
      'A phase map was proposed from the reference’s laps and could not be written beside its circuit: the content folder is read-only, or full.',
    cost: 'The proposal is used this time and is made anew at every build. If the reference’s laps change, so do the boundaries, and weeks no longer compare.',
    before: [{ file: 'in content/circuits', text: 'dr-xr-xr-x  .\n-r--r--r--  saltmarsh.geojson\n' }],
    cure: 'Make the folder writable for one build, or run `gapbook new phases` where it is, and put the file under version control.',
    after: [
      {
        file: 'in content/circuits',
        text: 'drwxr-xr-x  .\n-r--r--r--  saltmarsh.geojson\n-rw-r--r--  saltmarsh.phases.yaml\n',
      },
    ],
    acceptable: false,
    accept: 'Not possible, and nothing stops: it is a warning of the campaign.',
  },
  REFERENCE_MISSING: {
    severities: ['stop'],
    meaning:
      'For a circuit that was ridden there is no reference lap: campaign.md names none, names a session, run or lap that is not there, or none of the laps it names is whole and valid.',
    cost: 'Laps have times, and there is no gap and no ledger on this circuit; nor is a phase map proposed.',
    before: [campaign('2026-01-05-refrence')],
    cure: 'Correct the name. If it is right, let `gapbook check` say what counts against the laps of that session.',
    after: [campaign('2026-01-05-reference')],
    acceptable: false,
    accept: 'Not possible: a campaign without a reference compares nothing.',
  },
};
