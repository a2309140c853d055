import type { CompareData, ComparedLap } from '../../report/compareData.ts';
import { CENTIMETRES, MILLISECONDS } from '../../report/lapData.ts';
import { type Samples, samples } from './samples.ts';

/** One window of the ledger: what the first lap lost to the second there. */
export interface WindowDifference {
  readonly title: string;
  readonly where: string;
  readonly fromM: number;
  readonly toM: number;
  /** Null where one of the two laps has no value. */
  readonly gapS: number | null;
  readonly sigmaS: number;
  readonly slowestMps: number;
  readonly otherSlowestMps: number;
}

/** One lap against another: first minus second, positive where the first is slower. */
export interface Difference {
  readonly first: ComparedLap;
  readonly second: ComparedLap;
  readonly stationM: Float64Array;
  readonly gapS: Float64Array;
  readonly sigmaS: Float64Array;
  readonly speedMps: Float64Array;
  readonly otherMps: Float64Array;
  /** Of the lap times. */
  readonly totalS: number;
  readonly totalSigmaS: number;
  readonly windows: readonly WindowDifference[];
}

/**
 * Compares two laps on the stations that they share. Each lap's doubt is that of its gap to the reference lap; the two
 * are taken as independent, which is too much rather than too little for laps of one run.
 */
export function difference(data: CompareData, first: ComparedLap, second: ComparedLap): Difference {
  const curve = (packed: ComparedLap['time'], scale: number): Samples | null => samples(packed, data, scale);
  const [time, otherTime] = [curve(first.time, MILLISECONDS)!, curve(second.time, MILLISECONDS)!];
  const [speed, otherSpeed] = [curve(first.speed, CENTIMETRES)!, curve(second.speed, CENTIMETRES)!];
  const [doubt, otherDoubt] = [curve(first.sigma, MILLISECONDS), curve(second.sigma, MILLISECONDS)];
  const { stationM } = time;
  const gapS = time.value.map((t, i) => t - otherTime.value[i]!);
  const sigmaS = stationM.map((s) => Math.hypot(doubt?.at(s) ?? 0, otherDoubt?.at(s) ?? 0));
  return {
    first,
    second,
    stationM,
    gapS,
    sigmaS,
    speedMps: speed.value,
    otherMps: otherSpeed.value,
    totalS: first.timeS - second.timeS,
    totalSigmaS: sigmaS.findLast((s) => !Number.isNaN(s)) ?? Number.NaN,
    windows: data.windows.map(({ title, where, fromM, toM }, i) => {
      const [a, b] = [first.windows[i], second.windows[i]];
      return {
        title,
        where,
        fromM,
        toM,
        gapS: a && b ? a[0] - b[0] : null,
        sigmaS: a && b ? Math.hypot(a[1], b[1]) : Number.NaN,
        slowestMps: slowestBetween(speed, fromM, toM),
        otherSlowestMps: slowestBetween(otherSpeed, fromM, toM),
      };
    }),
  };
}

/** NaN where the curve knows nothing there. */
function slowestBetween({ stationM, value }: Samples, fromM: number, toM: number): number {
  let least = Number.NaN;
  stationM.forEach((s, i) => {
    if (s >= fromM && s <= toM && !(value[i]! >= least) && !Number.isNaN(value[i]!)) least = value[i]!;
  });
  return least;
}
