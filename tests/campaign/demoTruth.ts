import { readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';

/** `[bend, brake on, brake off, slowest place, pick-up, slowest m/s, peak deceleration m/s2, largest lean deg]`. */
type Events = readonly [string, number | null, number | null, number, number | null, number, number, number];

/** What one deficit cost on a run; see `deficitTruth` of the simulator. */
export interface PlantedDeficit {
  readonly run: string;
  readonly corner: string;
  readonly phase: 'braking' | 'apex' | 'drive';
  readonly cause: string;
  readonly planned: boolean;
  readonly seconds: number;
  readonly fromM: number;
  readonly everyM: number;
  readonly laps: readonly { readonly lap: number; readonly seconds: number; readonly lossS: readonly number[] }[];
}

interface RunTruth {
  readonly crossingsS: readonly number[];
  readonly lapTimesS: readonly number[];
  readonly stationsEveryM: number;
  readonly laps: readonly {
    readonly lap: number;
    readonly atStationsS: readonly number[];
    readonly events: readonly Events[];
  }[];
}

interface Truth {
  readonly circuit: { readonly lengthM: number };
  readonly sessions: Readonly<
    Record<string, { readonly runs: Readonly<Record<string, RunTruth>>; readonly deficits: readonly PlantedDeficit[] }>
  >;
}

/** What the simulator of the demo wrote beside its logs. It shares no code with src. */
export const TRUTH = JSON.parse(
  readFileSync(fileURLToPath(new URL('../simulator/truth.json', import.meta.url)), 'utf8'),
) as Truth;

/** True time into a lap at a station, s: the cubic through the four written times about it. */
export function trueTime(session: string, run: string, lap: number, stationM: number): number {
  const { stationsEveryM, laps, lapTimesS } = TRUTH.sessions[session]!.runs[run]!;
  const { lengthM } = TRUTH.circuit;
  if (stationM >= lengthM) return lapTimesS[lap - 1]!;
  const times = laps[lap - 1]!.atStationsS;
  const first = Math.min(times.length - 4, Math.max(0, Math.floor(stationM / stationsEveryM) - 1));
  const u = stationM / stationsEveryM - first;
  let sum = 0;
  for (let i = 0; i < 4; i++) {
    let weight = 1;
    for (let k = 0; k < 4; k++) if (k !== i) weight *= (u - k) / (i - k);
    sum += weight * times[first + i]!;
  }
  return sum;
}

/** What a deficit had cost on a lap up to a station, s; stations near the gate may be counted on either side of it. */
export function lostBy(deficit: PlantedDeficit, lap: number, stationM: number): number {
  const { lossS } = deficit.laps.find((l) => l.lap === lap)!;
  const endM = deficit.fromM + (lossS.length - 1) * deficit.everyM;
  let at = stationM;
  if (at < deficit.fromM) at += TRUTH.circuit.lengthM;
  if (at > endM + TRUTH.circuit.lengthM / 2) at -= TRUTH.circuit.lengthM;
  const place = Math.min(lossS.length - 1, Math.max(0, (at - deficit.fromM) / deficit.everyM));
  const i = Math.min(lossS.length - 2, Math.floor(place));
  return lossS[i]! + (lossS[i + 1]! - lossS[i]!) * (place - i);
}
