import { known } from '../numbers/known.ts';
import { median, ranked } from '../numbers/quantile.ts';
import { offMedian } from './offMedian.ts';

/** A fix this many robust standard deviations off its neighbours is set aside. */
const OUTLIER_SIGMAS = 6;
/** The scatter of the whole is at least this share of a fix's own standard deviation. */
const LEAST_SCATTER = 0.5;

/**
 * Which fixes lie off the median of those around them by more than noise, and the given allowance, explain.
 *
 * @param value (m,) NaN entries are left out
 * @param reach how many values on each side count as around
 * @param sigmaM (m,) one standard deviation of each
 * @param allowanceM (m,) how far each may be off beyond noise
 * @returns (m,) 1 where off
 */
export function wild(value: Float64Array, reach: number, sigmaM: Float64Array, allowanceM: Float64Array): Uint8Array {
  const out = new Uint8Array(value.length);
  const leastLimit = new Float64Array(value.length);
  for (let j = 0; j < leastLimit.length; j++)
    leastLimit[j] = OUTLIER_SIGMAS * LEAST_SCATTER * sigmaM[j]! + allowanceM[j]!;
  if (calm(value, reach, leastLimit)) return out;
  const off = offMedian(value, reach);
  const offs = known(off);
  const scale = offs.length > 0 ? 1.4826 * median(offs) : 0;
  for (let j = 0; j < out.length; j++)
    if (off[j]! > OUTLIER_SIGMAS * Math.max(scale, LEAST_SCATTER * sigmaM[j]!) + allowanceM[j]!) out[j] = 1;
  return out;
}

/**
 * Whether no value is off the median of those around it by more than its limit. Most runs are calm, and it shows by the
 * range of the values around: the median lies somewhere within it, so it need not be known.
 */
function calm(value: Float64Array, reach: number, limit: Float64Array): boolean {
  const values = known(value);
  const [low, high] = ranges(values, reach);
  for (let j = 0, k = 0; j < value.length; j++) {
    const v = value[j]!;
    if (Number.isNaN(v)) continue;
    const block = Math.floor(k / Math.max(1, reach));
    if (Math.max(v - low[block]!, high[block]! - v) > limit[j]!) {
      const around = values.subarray(Math.max(0, k - reach), k + reach + 1);
      if (Math.abs(v - ranked(around, around.length >> 1)) > limit[j]!) return false;
    }
    k++;
  }
  return true;
}

/** Least and greatest value of each block of so many and of the blocks beside it. */
function ranges(values: Float64Array, size: number): [Float64Array, Float64Array] {
  const step = Math.max(1, size);
  const count = Math.ceil(values.length / step);
  const least = new Float64Array(count);
  const most = new Float64Array(count);
  for (let block = 0; block < count; block++) {
    let [low, high] = [values[block * step]!, values[block * step]!];
    for (let k = block * step; k < Math.min(values.length, (block + 1) * step); k++) {
      if (values[k]! < low) low = values[k]!;
      if (values[k]! > high) high = values[k]!;
    }
    least[block] = low;
    most[block] = high;
  }
  const beside = (of: Float64Array, which: (...values: number[]) => number): Float64Array =>
    of.map((own, block) => which(own, of[block - 1] ?? own, of[block + 1] ?? own));
  return [beside(least, Math.min), beside(most, Math.max)];
}
