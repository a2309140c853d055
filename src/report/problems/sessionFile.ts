import type { GuidePart } from './guideOf.ts';
import { session } from './sheets.ts';

type Codes =
  | 'FRONT_MATTER'
  | 'KEY_UNKNOWN'
  | 'VALUE_INVALID'
  | 'VERSION_NUMBER'
  | 'LAP_UNKNOWN'
  | 'RIDER_UNKNOWN'
  | 'CIRCUIT_MISSING'
  | 'OFFICIAL_TIMING';

const MOUNTED = '{ antenna: [0.1, 0, 1.0], sigma: "0.3 m" }';

/** What a person wrote in a session file. */
export const SESSION_FILE: GuidePart<Codes> = {
  FRONT_MATTER: {
    severities: ['stop'],
    meaning:
      'The keys of a session or campaign file stand in YAML between two lines `---` at its very beginning. That block is not there, or a line of it is not YAML: most often a colon within a text, an indent that does not fit, or a quote that is not closed. Phase maps are YAML as well.',
    cost: 'The file cannot be used: the session is left out of the report; without campaign.md there is no reference; without its phase map a circuit has no ledger.',
    before: [session({ conditions: '{ surface: "damp in corner 3 }' })],
    cure: 'Correct the line that is named. Text with a colon, a comma or a brace belongs in quotes.',
    after: [session({ conditions: '{ surface: "damp in corner 3" }' })],
    acceptable: false,
    accept: 'Not possible: `accept:` stands in the very block that cannot be read.',
  },
  KEY_UNKNOWN: {
    severities: ['stop'],
    meaning:
      'A key is not one that is known at this place. It is nearly always a slip of the keyboard or a wrong indent, so the nearest known key is named. Below `columns:` the channel stands on the left and the heading of the log behind `from:`.',
    cost: 'The key has no effect, and what it should have said is missing. It stops because a report that silently left out a latency or a speed limit would be wrong without showing it.',
    before: [session({ limit: '{ speed: "60 km/h" }' })],
    cure: 'Correct the spelling, or move the key to where it belongs. Remarks of any kind go below the second `---` or under `conditions:`, where any key may stand.',
    after: [session({ limits: '{ speed: "60 km/h" }' })],
    acceptable: true,
    accept:
      'Possible in a session file and seldom reasonable: the key stays without effect. In campaign.md and in phase maps it is not possible.',
  },
  VALUE_INVALID: {
    severities: ['stop', 'warn'],
    meaning:
      'A key is known and its value is not what it needs: a quantity without its unit, a date in another order, a word that is none of the choices, or a key that has to be there and is not. A single name under `emulated:` that is no channel is a warning.',
    cost: 'A session file with such a value is not used, because what depends on it cannot be told; the session is left out. The same holds for campaign.md and phase maps.',
    before: [session({ limits: '{ speed: 60 }' })],
    cure: 'Write the value as the message says. Quantities are text with a UCUM unit, in quotes; dates are year, month, day.',
    after: [session({ limits: '{ speed: "60 km/h" }' })],
    acceptable: false,
    accept:
      'As a rule not possible, since the file that would hold `accept:` is not used. Where the message speaks of a single run or lap, mending takes less time than a reason.',
  },
  VERSION_NUMBER: {
    severities: ['warn'],
    meaning:
      'A version was written without quotes, and YAML takes it for a number: 0.10 becomes 0.1, and 1e3 becomes 1000. The text as it stands in the file is used, so nothing is lost yet.',
    cost: 'Nothing at once. Other programs that read the file will see another version, and two versions may become one.',
    before: [session({ controller: '0.10' })],
    cure: 'Put the version in quotes.',
    after: [session({ controller: '"0.10"' })],
    acceptable: true,
    accept: 'Reasonable only where files of the past are not to be touched.',
  },
  LAP_UNKNOWN: {
    severities: ['stop'],
    meaning:
      'The list `laps:` includes or excludes a lap that the run does not have. Laps are counted by the gate: 0 is the out lap, 1 the first from gate to gate. A run that could not be read has no laps at all.',
    cost: 'The choice has no effect: a lap that you meant to exclude may still count in medians and in the gap.',
    before: [session({ position: MOUNTED, laps: '\n  - { run: run-01.csv, lap: 7, exclude: "yellow flag" }' })],
    cure: 'Let `gapbook check` list the laps of the run, and correct the number or the name of the run.',
    after: [session({ position: MOUNTED, laps: '\n  - { run: run-01.csv, lap: 1, exclude: "yellow flag" }' })],
    acceptable: true,
    accept: 'Reasonable where the log was cut short and the lap is lost, and the entry should stay as a record.',
  },
  RIDER_UNKNOWN: {
    severities: ['stop'],
    meaning:
      'The session names a rider who is not a key under `riders:` in campaign.md. The key is meant, not the name that is printed.',
    cost: 'Whether a robot or a human rode decides where a session stands in the report. Until it is known, the rider counts as a robot of that name.',
    before: [session({ position: MOUNTED, rider: 'robto' })],
    cure: 'Correct the key, or add the rider to campaign.md: `riders: { robot: { name: Robot, kind: robot } }`.',
    after: [session({ position: MOUNTED })],
    acceptable: true,
    accept: 'Possible, not sensible: one line in campaign.md mends it for every session.',
  },
  CIRCUIT_MISSING: {
    severities: ['stop'],
    meaning:
      'The session names a circuit of which there is no usable file in `content/circuits`. The name is that of the file without its ending. A circuit file that is there and has a fault of its own counts as missing as well.',
    cost: 'Without a line and a gate there are no laps: the session is left out of the report.',
    before: [session({ circuit: 'salt-marsh' })],
    cure: 'Correct the name, or make the circuit: `gapbook new circuit saltmarsh --from run-01.csv`. If the file is there, mend first what is said of it.',
    after: [session({ position: MOUNTED })],
    acceptable: true,
    accept:
      'Reasonable for a day on another circuit whose survey is still to come. The session stays out of the report until then.',
  },
  OFFICIAL_TIMING: {
    severities: ['warn'],
    meaning:
      'A lap time given under `official:` and the one from the log differ by more than 2 ms and three standard deviations of the position at the gate. They were not taken of the same lap, or not at the same place.',
    cost: 'Times and gaps of the report come from the log and stay as they are. Between two passes of the same place a late clock cancels out, so a large difference is nearly always the time of another lap. A small one comes from a gate that stands elsewhere, where the two passes were not equally fast; it enters the times of both riders alike.',
    before: [session({ position: MOUNTED, official: '{ 1: "0:43.000" }' })],
    cure: 'Check the number of the lap first, 1 being the first from gate to gate. Then where the gate stands in the circuit’s file, and what is given under `position:`.',
    after: [session({ position: MOUNTED, official: '{ 1: "0:40.000" }' })],
    acceptable: true,
    accept: 'Reasonable where the official line is known to lie elsewhere than the gate, with that as the reason.',
  },
};
