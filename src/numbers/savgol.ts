/**
 * Savitzky–Golay weights: the `derivative`-th derivative at sample `at` of the least-squares polynomial through `window`
 * evenly spaced samples is the sum of weights times samples (unit spacing, oldest sample first).
 *
 * @param window samples, more than `degree`
 * @param at place in the window counted from its first sample; the middle by default
 *
 * Method: Savitzky & Golay, Anal. Chem. 36 (1964) 1627; sums over discrete orthogonal polynomials after Gorry,
 * Anal. Chem. 62 (1990) 570, which stay accurate for wide windows.
 */
export function savgolWeights(
  window: number,
  degree: number,
  derivative: number,
  at: number = (window - 1) / 2,
): Float64Array {
  if (!(window > degree)) throw new RangeError(`a window of ${window} samples cannot carry degree ${degree}`);
  const weights = new Float64Array(window);
  const middle = (window - 1) / 2;
  let older = new Float64Array(window);
  let newer = new Float64Array(window).fill(1);
  // The same two polynomials with all their derivatives, at the one place where the answer is wanted.
  let olderAt = new Float64Array(derivative + 1);
  let newerAt = new Float64Array(derivative + 1);
  newerAt[0] = 1;
  let olderNorm = 1;
  for (let k = 0; k <= degree; k++) {
    let norm = 0;
    for (let i = 0; i < window; i++) norm += newer[i]! ** 2;
    for (let i = 0; i < window; i++) weights[i]! += (newer[i]! * newerAt[derivative]!) / norm;
    const share = k === 0 ? 0 : norm / olderNorm;
    const next = newer.map((value, i) => (i - middle) * value - share * older[i]!);
    const nextAt = newerAt.map(
      (value, d) => (at - middle) * value + (d > 0 ? d * newerAt[d - 1]! : 0) - share * olderAt[d]!,
    );
    [older, newer, olderAt, newerAt, olderNorm] = [newer, next, newerAt, nextAt, norm];
  }
  return weights;
}

/**
 * Smoothed values or a derivative of evenly spaced samples. The first and last half window come from the polynomial
 * through the first and last full window, so that a polynomial of the degree comes back unchanged up to the ends.
 *
 * @param y samples, at least `window`; a NaN spreads over the windows that hold it
 * @param window odd number of samples
 * @param degree of the polynomial, below `window`
 * @param derivative 0 smooths
 * @param spacing distance between samples
 * @throws RangeError for an even window or fewer samples than the window
 */
export function savgol(y: Float64Array, window: number, degree: number, derivative = 0, spacing = 1): Float64Array {
  if (window % 2 !== 1) throw new RangeError(`a window has an odd number of samples, not ${window}`);
  if (y.length < window) throw new RangeError(`${y.length} samples do not fill a window of ${window}`);
  const half = (window - 1) / 2;
  const scale = spacing ** -derivative;
  const out = new Float64Array(y.length);
  const middle = savgolWeights(window, degree, derivative);
  for (let i = 0; i < y.length; i++) {
    const first = Math.min(Math.max(i - half, 0), y.length - window);
    const weights = i - first === half ? middle : savgolWeights(window, degree, derivative, i - first);
    let sum = 0;
    for (let k = 0; k < window; k++) sum += weights[k]! * y[first + k]!;
    out[i] = sum * scale;
  }
  return out;
}
