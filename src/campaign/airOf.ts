import { type AlignedLap, byStation } from '../align/alignLap.ts';
import { onTimeline } from '../align/channel.ts';
import { LinePoint } from '../circuit/line.ts';
import { stationGrid } from '../gap/curve.ts';
import { largest } from '../numbers/largest.ts';
import { type Air, airCosts, airDensity, STANDARD_AIR } from '../statistics/air.ts';
import { DRAG_PER_M, FULL_SHARE } from '../technique/events.ts';
import { quantity } from '../units.ts';
import type { LoadedCampaign } from './load.ts';
import type { Reference } from './reference.ts';
import type { LapResult } from './results.ts';

/** One kilogram with the drag that a machine and rider usually have for each. */
const MACHINE = { massKg: 1, dragAreaM2: (2 * DRAG_PER_M) / STANDARD_AIR.densityKgpm3 };

/** The air of a day and that of the reference's. */
export interface Airs {
  readonly own: Air;
  readonly reference: Air;
}

/**
 * The air of a session, from what its file notes: pressure and temperature, wind where it is noted with its direction, and
 * humidity where it is.
 *
 * @returns null where pressure or temperature is not noted
 */
export function airOf(conditions: Readonly<Record<string, string>>): Air | null {
  const amount = (key: string, unit: string): number | null => {
    const text = conditions[key];
    return text === undefined ? null : quantity(text, unit);
  };
  const [pressurePa, temperatureK] = [amount('pressure', 'Pa'), amount('air', 'K')];
  if (pressurePa === null || temperatureK === null) return null;
  const [windMps, windFromRad] = [amount('wind', 'm/s'), amount('wind_from', 'rad')];
  const known = windMps !== null && windFromRad !== null;
  return {
    densityKgpm3: airDensity(pressurePa, temperatureK, amount('humidity', '1') ?? 0),
    windMps: known ? windMps : 0,
    windFromRad: known ? windFromRad : 0,
  };
}

/** The airs of a session and of its reference's; null where either is not noted, or the air is none (simulation, bench). */
export function airsOf(
  loaded: LoadedCampaign,
  session: { readonly stage: string; readonly conditions: Readonly<Record<string, string>> },
  reference: Reference | null,
): Airs | null {
  const other = loaded.sessions.find(({ id }) => id === reference?.session)?.session;
  if (session.stage !== 'track' || !other) return null;
  const [own, theirs] = [airOf(session.conditions), airOf(other.conditions)];
  return own && theirs && { own, reference: theirs };
}

/**
 * The part of a lap's gap that is the air of the two days: what the air cost the lap less what it cost the reference lap,
 * each against standard air, where either pulls with all it has. Of the lap, and of the window of each corner.
 *
 * @param windows corner and station where its window begins, in the order of the lap
 * @returns null where either log has no throttle
 */
export function airGap(
  lap: AlignedLap,
  reference: AlignedLap,
  airs: Airs,
  windows: readonly { readonly name: string; readonly a: number }[],
): LapResult['air'] {
  const [own, theirs] = [costs(lap, airs.own), costs(reference, airs.reference)];
  if (!own || !theirs) return null;
  const { stepM } = stationGrid(lap.run.circuit.lengthM);
  const corners = windows.map(({ name }) => ({ corner: name, gapS: 0 }));
  let gapS = 0;
  for (let i = 0; i < own.length; i++) {
    const part = own[i]! - theirs[i]!;
    gapS += part;
    // Before the first window the lap is still in that of the last corner.
    const at = windows.findLastIndex(({ a }) => a <= i * stepM);
    const corner = corners.at(at);
    if (corner) corner.gapS += part;
  }
  const rounded = (value: number): number => Math.round(value * 1e5) / 1e5 + 0;
  return { gapS: rounded(gapS), corners: corners.map((c) => ({ ...c, gapS: rounded(c.gapS) })) };
}

function costs(lap: AlignedLap, air: Air): Float64Array | null {
  const throttle = onTimeline(lap.run, 'throttle');
  if (!throttle || lap.timeS === null) return null;
  const { stepM, stationM } = stationGrid(lap.run.circuit.lengthM);
  const open = byStation(lap, throttle, stationM);
  const speedMps = byStation(lap, lap.run.speedMps, stationM);
  const most = largest(open);
  const point = new LinePoint();
  const headingRad = Float64Array.from(stationM, (s) => lap.run.circuit.line.at(s, point).headingRad);
  const pulling = Uint8Array.from(open, (v, i) => (most > 0 && v >= FULL_SHARE * most && speedMps[i]! > 1 ? 1 : 0));
  return airCosts({ stepM, speedMps, headingRad, pulling }, MACHINE, air);
}
