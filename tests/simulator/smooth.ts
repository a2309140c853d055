/** Cubic blend from 0 at u <= 0 to 1 at u >= 1, with zero slope at both ends. */
export function blend(u: number): number {
  if (u <= 0) return 0;
  if (u >= 1) return 1;
  return u * u * (3 - 2 * u);
}

/** Quintic blend from 0 to 1, with zero slope and curvature at both ends. */
export function softBlend(u: number): number {
  if (u <= 0) return 0;
  if (u >= 1) return 1;
  return u * u * u * (u * (6 * u - 15) + 10);
}

/** Gaussian smoothing with a width of its own at every node (standard deviation in nodes); ends are held. */
export function gaussian(values: Float64Array, widthNodes: (i: number) => number): Float64Array {
  const n = values.length;
  const out = new Float64Array(n);
  for (let i = 0; i < n; i++) {
    const width = widthNodes(i);
    const reach = Math.ceil(3.5 * width);
    if (reach < 1 || width < 0.3) {
      out[i] = values[i]!;
      continue;
    }
    let sum = values[i]!;
    let weight = 1;
    for (let d = 1; d <= reach; d++) {
      const w = Math.exp((-d * d) / (2 * width * width));
      sum += w * (values[Math.max(0, i - d)]! + values[Math.min(n - 1, i + d)]!);
      weight += 2 * w;
    }
    out[i] = sum / weight;
  }
  return out;
}

/** Three running means after another, close to a Gaussian and fast; ends are held, or joined where `closed`. */
export function runningMeans(values: Float64Array, radiusNodes: number, closed = false): Float64Array {
  const n = values.length;
  const r = Math.max(1, Math.round(radiusNodes));
  let from = values;
  for (let pass = 0; pass < 3; pass++) {
    const at = (i: number) => from[closed ? ((i % n) + n) % n : Math.min(n - 1, Math.max(0, i))]!;
    const to = new Float64Array(n);
    let sum = 0;
    for (let i = -r; i <= r; i++) sum += at(i);
    for (let i = 0; i < n; i++) {
      to[i] = sum / (2 * r + 1);
      sum += at(i + r + 1) - at(i - r);
    }
    from = to;
  }
  return from;
}
