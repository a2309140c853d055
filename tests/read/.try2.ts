import { gzipSync } from 'node:zlib';
import { readBytes } from './readText.ts';

const text = new TextEncoder().encode(`${','.repeat(199)}\n`.repeat(10000));
const rows = new Uint8Array(gzipSync(text));
const head = new Uint8Array(gzipSync(new TextEncoder().encode(`time [s]${',x'.repeat(199)}\n1${',1'.repeat(199)}\n`)));
async function* rep() {
  yield head;
  for (let i = 0; i < 10; i++) yield rows;
}
const t = performance.now();
const r = await readBytes(() => rep());
console.log(
  performance.now() - t,
  r.problems.map((p) => p.found),
);
