import { expect, test } from 'vitest';
import { mad, median, quantile } from '../../src/numbers/quantile.ts';
import { adjusted } from '../../src/statistics/adjusted.ts';
import { bootstrap } from '../../src/statistics/bootstrap.ts';
import { curveFit } from '../../src/statistics/curveFit.ts';
import { studentQuantile } from '../../src/statistics/distributions.ts';
import { leastSquares, predictAt } from '../../src/statistics/leastSquares.ts';
import { oneWay } from '../../src/statistics/oneWay.ts';
import { propagated, standardErrors } from '../../src/statistics/propagate.ts';
import { rankShift } from '../../src/statistics/rankShift.ts';
import { meanOf, pooledDifference, unequalDifference } from '../../src/statistics/student.ts';
import { trend } from '../../src/statistics/trend.ts';
import { readCheck, readColumns, withReference } from '../reference/folder.ts';

// Expected values: reference checks of f-stats, each with its own source (NIST StRD, JCGM 100, R, scipy); tolerances are
// those of the checks.

/** Number of correct leading digits. */
const digits = (value: number, exact: number): number => -Math.log10(Math.abs(value / exact - 1) || 1e-16);

// biome-ignore lint/suspicious/noExplicitAny: the cases of one file differ in shape
const cases = (file: string) => readCheck<any, any>(`f-stats/${file}.json`).cases;

withReference('analysis of variance: f-stats/strd-anova.json', () => {
  const least: Record<string, number> = { 'f4-SiRstv': 9, 'f4-AtmWtAg': 8, 'f4-SmLs01': 9, 'f4-SmLs04': 4 };
  test.each(cases('strd-anova'))('$id', ({ id, in: input, out }) => {
    const groups: number[][] = input.groups ?? grouped(readColumns(`f-stats/${input.file}`));
    const found = oneWay(groups);
    expect(digits(found.f, out.F)).toBeGreaterThan(least[id]! - 0.5);
    expect([found.dfBetween, found.dfWithin]).toEqual([out.df_between, out.df_within]);
    expect(digits(found.squaresWithin, out.ss_within)).toBeGreaterThan(least[id]! - 0.5);
    expect(digits(found.p, out.p_value)).toBeGreaterThan(least[id]! - 2);
  });
});

function grouped(columns: Record<string, Float64Array>): number[][] {
  const [group, value] = Object.values(columns) as [Float64Array, Float64Array];
  const groups = new Map<number, number[]>();
  group.forEach((g, i) => {
    groups.set(g, [...(groups.get(g) ?? []), value[i]!]);
  });
  return [...groups.values()];
}

withReference('linear least squares: f-stats/strd-linear.json', () => {
  test.each(cases('strd-linear').filter(({ in: { x } }) => !Array.isArray(x[0])))('$id', ({ in: input, out }) => {
    const fit = leastSquares([input.x.map(() => 1), input.x], input.y)!;
    fit.coefficients.forEach((b, k) => {
      expect(digits(b, out.b[k])).toBeGreaterThan(10);
      expect(digits(fit.standardErrors[k]!, out.se[k])).toBeGreaterThan(9);
    });
    expect(digits(fit.residualSd, out.residual_sd)).toBeGreaterThan(10);
    expect(digits(fit.rSquared, out.r_squared)).toBeGreaterThan(10);
  });
});

withReference('straight lines and what they foretell: f-stats/line-fit-intervals.json', () => {
  const list = cases('line-fit-intervals');
  test.each(list)('$id', ({ kind, in: input, out }) => {
    const { x, y } = input.data ? list.find(({ id }) => id === input.data)!.in : input;
    const fit = leastSquares([x.map(() => 1), x], y)!;
    if (kind === 'intervals at x') {
      const [wide, narrow] = [predictAt(fit, [1, input.x0], 0.95), predictAt(fit, [1, input.x0], 0.9)];
      expect(digits(wide.fit, out.fit)).toBeGreaterThan(9);
      for (const [found, exact] of [
        [wide.prediction, out.pi95],
        [wide.confidence, out.ci95],
        [narrow.prediction, out.pi90],
      ]) {
        expect(digits(found.low, exact[0])).toBeGreaterThan(9);
        expect(digits(found.high, exact[1])).toBeGreaterThan(9);
      }
      return;
    }
    fit.coefficients.forEach((b, k) => {
      expect(digits(b, out.b[k])).toBeGreaterThan(9);
      expect(digits(fit.standardErrors[k]!, out.se[k])).toBeGreaterThan(9);
    });
    expect(digits(fit.residualSd, out.residual_sd)).toBeGreaterThan(9);
    if (kind === 'calibration line') {
      // The check gives x from 20 on as the temperature less 20 °C already.
      const at = predictAt(fit, [1, input.x0], 0.95);
      expect(digits(at.fit, out.value_at_x0)).toBeGreaterThan(9);
      expect(digits(at.standardError, out.u_value_at_x0)).toBeGreaterThan(9);
    }
  });
});

withReference('nonlinear least squares: f-stats/strd-nonlinear.json', () => {
  const models: Record<string, (b: readonly number[], x: number) => number> = {
    'b1*(1-exp(-b2*x))': ([a, b], x) => a! * (1 - Math.exp(-b! * x)),
    'b1*x^b2': ([a, b], x) => a! * x ** b!,
    'exp(-b1*x)/(b2+b3*x)': ([a, b, c], x) => Math.exp(-a! * x) / (b! + c! * x),
    'b1/((1+exp(b2-b3*x))^(1/b4))': ([a, b, c, d], x) => a! / (1 + Math.exp(b! - c! * x)) ** (1 / d!),
    'b1*exp(-b2*x)+b3*exp(-(x-b4)^2/b5^2)+b6*exp(-(x-b7)^2/b8^2)': (b, x) =>
      b[0]! * Math.exp(-b[1]! * x) +
      b[2]! * Math.exp(-((x - b[3]!) ** 2) / b[4]! ** 2) +
      b[5]! * Math.exp(-((x - b[6]!) ** 2) / b[7]! ** 2),
  };
  const starts = cases('strd-nonlinear').flatMap((c) => [
    { id: c.id, from: 'near', c },
    { id: c.id, from: 'far', c },
  ]);
  test.each(starts)('$id from the $from start: six digits, or it says that it gave up', ({ id, from, c }) => {
    const { x, y } = c.in.file ? readColumns(`f-stats/${c.in.file}`) : c.in;
    const fit = curveFit(models[c.in.model]!, x, y, from === 'near' ? c.in.start_near : c.in.start_far);
    if (from === 'far' && /MGH10|BoxBOD/.test(id) && !fit.converged) {
      expect(fit.standardErrors.every(Number.isNaN)).toBe(true);
      return;
    }
    expect(fit.converged).toBe(true);
    fit.parameters.forEach((b, k) => {
      expect(digits(b, c.out.b[k])).toBeGreaterThan(6);
      expect(digits(fit.standardErrors[k]!, c.out.se[k])).toBeGreaterThan(5);
    });
    expect(digits(fit.squares, c.out.rss)).toBeGreaterThan(8);
  });
});

withReference('Theil–Sen slopes: f-stats/theil-sen.json', () => {
  test.each(cases('theil-sen'))('$set', ({ in: { x, y, confidence }, out }) => {
    const found = trend(x, y, confidence);
    expect(found.slope).toBeCloseTo(out.slope, 9);
    expect(found.intercept).toBeCloseTo(out.intercept_median_y_minus_slope_median_x, 9);
    expect(found.interval!.low).toBeCloseTo(out.low, 9);
    expect(found.interval!.high).toBeCloseTo(out.high, 9);
  });
});

withReference('corrections and quantiles: f-stats/quantiles-and-corrections.json', () => {
  const list = cases('quantiles-and-corrections');
  test.each(list.filter(({ in: { method } }) => method === 'BH'))('$id', ({ in: { p }, out }) => {
    adjusted(p).forEach((q, i) => {
      expect(q).toBeCloseTo(out.adjusted[i], 9);
    });
  });
  test.each(list.filter(({ kind }) => kind === 'Student quantile'))('$id', ({ in: { probability, df }, out }) => {
    expect(digits(studentQuantile(probability, df), out.t)).toBeGreaterThan(12);
  });
  test.each(list.filter(({ kind }) => kind === 'coverage factor'))('$id', ({ in: { coverage, df }, out }) => {
    expect(digits(studentQuantile((1 + coverage) / 2, df), out.k)).toBeGreaterThan(12);
  });
  test.each(list.filter((c) => c.in.hyndman_fan_type === 7))('$id', ({ in: { x, probabilities }, out }) => {
    probabilities.forEach((p: number, i: number) => {
      expect(quantile(x, p)).toBeCloseTo(out.q[i], 9);
    });
  });
  test.each(list.filter(({ id }) => id === 'f6-robust'))('$id', ({ in: { x }, out }) => {
    expect(mad(x)).toBeCloseTo(out.mad_raw, 9);
    expect(median(x)).toBeCloseTo(out.median, 9);
    expect(quantile(x, 0.75) - quantile(x, 0.25)).toBeCloseTo(out.iqr_type7, 9);
  });
});

withReference('two samples: f-stats/two-samples.json', () => {
  const list = cases('two-samples');
  // The check counts a - b, the functions after - before.
  test.each(list.filter((c) => !c.in.paired))('$id', ({ in: { a, b }, out }) => {
    for (const [found, exact] of [
      [pooledDifference(b, a), out.student],
      [unequalDifference(b, a), out.welch],
    ]) {
      expect(digits(found.t, exact.t)).toBeGreaterThan(8);
      expect(digits(found.df, exact.df)).toBeGreaterThan(8);
      expect(digits(found.p, exact.p)).toBeGreaterThan(8);
      expect(digits(found.interval.low, exact.ci95_lo)).toBeGreaterThan(8);
      expect(digits(found.interval.high, exact.ci95_hi)).toBeGreaterThan(8);
    }
    const ranks = rankShift(b, a);
    const exact = out.mann_whitney;
    expect(digits(ranks.p, exact.p)).toBeGreaterThan(8);
    // With ties R finds the jumps of a step function by bisection, to 1e-4, and within a flat piece any place of it.
    const near = exact.method === 'exact' ? 9 : 3;
    expect(ranks.interval.low).toBeCloseTo(exact.ci95_lo, near);
    expect(ranks.interval.high).toBeCloseTo(exact.ci95_hi, near);
    expect(Math.abs(ranks.shift - exact.hodges_lehmann)).toBeLessThan(exact.method === 'exact' ? 1e-9 : 5e-3);
  });
  test('differences of pairs', () => {
    const { in: input, out } = list.find((c) => c.in.paired)!;
    const found = meanOf(input.a.map((value: number, i: number) => value - input.b[i]));
    expect(digits(found.t, out.paired_t.t)).toBeGreaterThan(8);
    expect(digits(found.p, out.paired_t.p)).toBeGreaterThan(8);
    expect(digits(found.interval.low, out.paired_t.ci95_lo)).toBeGreaterThan(8);
  });
});

withReference('bootstrap: f-stats/bootstrap.json', () => {
  const about: Record<string, (rows: readonly number[][]) => number> = {
    'variance with divisor n': (rows) => {
      const centre = rows.reduce((s, [v]) => s + v!, 0) / rows.length;
      return rows.reduce((s, [v]) => s + (v! - centre) ** 2, 0) / rows.length;
    },
    mean: (rows) => rows.reduce((s, [v]) => s + v!, 0) / rows.length,
    median: (rows) => median(rows.map(([v]) => v!)),
    'Pearson correlation': (rows) => {
      const n = rows.length;
      const [x, y] = [0, 1].map((k) => rows.reduce((s, row) => s + row[k]! / n, 0));
      const sum = (j: number, k: number) =>
        rows.reduce((s, row) => s + (row[j]! - [x, y][j]!) * (row[k]! - [x, y][k]!), 0);
      return sum(0, 1) / Math.sqrt(sum(0, 0) * sum(1, 1));
    },
  };
  test.each(cases('bootstrap'))('$id: $set', ({ in: { data, statistic, level }, out, ...rest }) => {
    const rows = Array.isArray(data[0])
      ? data[0].map((v: number, i: number) => [v, data[1][i]])
      : data.map((v: number) => [v]);
    const found = bootstrap<number[]>(rows, about[statistic]!, level, 7, 20_000);
    const near = (rest as unknown as { mc_tolerance: number }).mc_tolerance;
    expect(Math.abs(found.estimate - out.theta)).toBeLessThan(1e-10);
    expect(Math.abs(found.acceleration - out.acceleration_jackknife)).toBeLessThan(1e-9);
    for (const [interval, exact] of [
      [found.percentile, out.percentile],
      [found.corrected, out.bca],
    ] as const) {
      expect(Math.abs(interval.low - exact[0])).toBeLessThan(near);
      expect(Math.abs(interval.high - exact[1])).toBeLessThan(near);
    }
  });
});

withReference('propagation with correlated inputs: f-stats/gum.json', () => {
  test('resistance and reactance, JCGM 100 H.2', () => {
    const { in: input, out } = cases('gum').find(({ id }) => id === 'f10-h2')!;
    const { means, covariance } = standardErrors([input.V, input.I, input.phi]);
    means.forEach((m, k) => {
      expect(digits(m, out.means[k])).toBeGreaterThan(9);
      expect(digits(Math.sqrt(covariance[k]![k]!), out.u_means[k])).toBeGreaterThan(9);
    });
    const models = {
      R: ([v, i, phi]: readonly number[]) => (v! * Math.cos(phi!)) / i!,
      X: ([v, i, phi]: readonly number[]) => (v! * Math.sin(phi!)) / i!,
      Z: ([v, i]: readonly number[]) => v! / i!,
    };
    for (const [name, model] of Object.entries(models)) {
      const { value, sigma } = propagated(model, means, covariance);
      expect(digits(value, out[name])).toBeGreaterThan(9);
      expect(digits(sigma, out[`u_${name}`])).toBeGreaterThan(6);
    }
  });
});
