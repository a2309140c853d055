import { readFileSync } from 'node:fs';
import { readBytes } from '/work/main/tests/read/readText.ts';

for (const f of process.argv.slice(2)) {
  const { recording, problems } = await readBytes(readFileSync(f), { everything: false });
  console.log(
    f,
    recording && {
      rows: recording.rows,
      cols: recording.columns.length,
      other: recording.otherColumns.slice(0, 60).join('|'),
      t: recording.timeS.slice(0, 3),
    },
  );
  for (const p of problems) console.log('  ', p.severity, p.code, JSON.stringify(p.place), p.found.slice(0, 200));
}
