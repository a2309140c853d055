import { PROBLEMS } from '../../problem.ts';
import { codesOf, problemList } from '../problemList.ts';
import type { Results } from '../readResults.ts';
import type { DataTable } from './dataTable.ts';

/** Every problem of the input, in the order of its page. */
export function problemsData(results: Results): DataTable {
  return {
    columns: ['session', 'run', 'lap', 'code', 'severity', 'place', 'found', 'expected', 'remedy', 'accepted'],
    rows: problemList(results).map((p) => [
      p.session,
      p.run,
      p.lap,
      p.code,
      p.severity,
      p.place,
      p.found,
      p.expected,
      p.remedy,
      p.accepted,
    ]),
  };
}

/** Every code there is, and how often this campaign has it. */
export function codesData(results: Results): DataTable {
  const list = problemList(results);
  return {
    columns: ['code', 'meaning', 'here'],
    rows: codesOf(results).map((code) => [code, PROBLEMS[code], list.filter((p) => p.code === code).length]),
  };
}
