import type { AlignedLap } from '../align/alignLap.ts';
import type { Lap, Reason } from '../laps/laps.ts';
import type { LapChoice } from '../read/sessionFile.ts';
import { kmh } from '../units.ts';
import type { LaidRun } from './alignedRun.ts';

/** A lap with the verdict on it. */
export interface JudgedLap {
  readonly lap: Lap;
  readonly aligned: AlignedLap | null;
  readonly valid: boolean;
  /** Valid, whole, and not ridden under a cap; whether its kind compares is for the reference to say. */
  readonly countable: boolean;
  readonly capped: string | null;
  readonly reasons: readonly Reason[];
}

/** Applies what a person said in the session file to what the log says of each lap. */
export function judged(run: LaidRun, choices: readonly LapChoice[]): JudgedLap[] {
  return run.laps.map(({ lap, aligned }) => {
    const against = [...(aligned?.reasons ?? lap.reasons)];
    if (lap.toGate && lap.fromGate && aligned === null)
      against.push({ code: 'POSITION_LOST', text: 'no place on the circuit where the lap starts' });
    const choice = choices.find((c) => c.run === run.file && c.lap === lap.number);
    if (choice)
      against.push({ code: choice.counted ? 'INCLUDED' : 'EXCLUDED', text: `${choice.reason} (session file)` });
    const valid = choice ? choice.counted : against.length === 0;
    const whole = aligned !== null && aligned.timeS !== null;
    const capped = lap.speedLimitMps === null ? null : `${kmh(lap.speedLimitMps).toFixed(0)} km/h`;
    return { lap, aligned, valid, countable: valid && whole && capped === null, capped, reasons: against };
  });
}
