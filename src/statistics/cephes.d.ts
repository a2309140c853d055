// The package's own types are hidden by its `exports`. Only what is used.
declare module 'cephes' {
  export const compiled: Promise<void>;
  export function ndtr(z: number): number;
  export function ndtri(p: number): number;
  export function incbet(a: number, b: number, x: number): number;
  export function chdtri(df: number, above: number): number;
  export function incbi(a: number, b: number, y: number): number;
}
