/** Straight blend of two numbers; exact at weights 0 and 1. */
export function blend(a: number, b: number, weight: number): number {
  return weight === 1 ? a : weight === 0 ? b : b + weight * (a - b);
}

/** Straight blend of two arrays, entry by entry; the very array at weights 0 and 1. NaN on one side gives the other. */
export function blendAll(a: Float64Array, b: Float64Array, weight: number): Float64Array {
  if (weight === 1) return a;
  if (weight === 0) return b;
  return a.map((value, i) => {
    const other = b[i]!;
    if (Number.isNaN(value)) return other;
    return Number.isNaN(other) ? value : other + weight * (value - other);
  });
}

/** Whether two arrays differ in any entry; NaN equals NaN. */
export function differ(a: Float64Array, b: Float64Array): boolean {
  if (a.length !== b.length) return true;
  for (let i = 0; i < a.length; i++) if (a[i] !== b[i] && !(Number.isNaN(a[i]!) && Number.isNaN(b[i]!))) return true;
  return false;
}
