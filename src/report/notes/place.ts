import type { CircuitView, LapResult, MapCorner, RunResult, SessionResult } from '../../campaign/results.ts';
import { nearestWord } from '../../nearestWord.ts';
import { latestSession } from '../now.ts';
import type { Results } from '../readResults.ts';
import { listWords } from '../words.ts';
import { Mistake } from './mistake.ts';

/** A session, a run of it, or a lap of that. */
export interface Place {
  readonly session: SessionResult;
  readonly run: RunResult | null;
  readonly lap: LapResult | null;
}

const HOW = '`<session>[/<run>[/<lap>]]`, or `latest`';

/**
 * The session, run or lap that a text names: `2026-01-08-track/run-01.csv/3`, or `latest`.
 *
 * @param home what is meant where the text is null
 */
export function placeOf(text: string | null, results: Results, home: SessionResult | null): Place {
  if (text === null || text === 'latest') {
    const session = text === null ? home : latestSession(results);
    if (session) return { session, run: null, lap: null };
    throw new Mistake('no session that is compared with the reference yet', HOW, 'name one: `of=2026-01-08-track`');
  }
  const [id = '', ...rest] = text.split('/');
  const session = results.session(id);
  if (!session)
    throw missing(
      'session',
      id,
      results.sessions.map((s) => s.session),
    );
  if (rest.length === 0) return { session, run: null, lap: null };
  // The name of a log may hold a slash; a lap is a number behind one that is a run.
  const file = rest.join('/');
  const whole = session.runs.find((run) => run.file === file);
  if (whole) return { session, run: whole, lap: null };
  const run = session.runs.find((r) => r.file === rest.slice(0, -1).join('/'));
  if (!run)
    throw missing(
      `run in ${id}`,
      rest.length > 1 ? rest.slice(0, -1).join('/') : file,
      session.runs.map((r) => r.file),
    );
  const lap = run.laps.find((l) => String(l.lap) === rest.at(-1));
  if (!lap)
    throw new Mistake(
      `no lap \`${rest.at(-1)}\` in ${id}/${run.file}`,
      run.laps.length === 0 ? 'a run with laps' : `a lap that is there: ${span(run.laps.map((l) => String(l.lap)))}`,
      'correct the number: 0 is the out lap, 1 the first from gate to gate',
    );
  return { session, run, lap };
}

/** How a place is written. */
export const placeText = ({ session, run, lap }: Place): string =>
  [session.session, run?.file, lap?.lap].filter((part) => part !== undefined).join('/');

/** The circuit of a session. */
export function circuitOf(results: Results, session: SessionResult): CircuitView {
  const circuit = results.circuit(session.circuit);
  if (circuit) return circuit;
  throw new Mistake(
    `no circuit \`${session.circuit}\``,
    'a session on a circuit of the campaign',
    'name another session',
  );
}

/** A corner of a circuit by its name. */
export function cornerOf(circuit: CircuitView, name: string): MapCorner {
  const corner = circuit.corners.find((c) => c.name === name);
  if (corner) return corner;
  const names = circuit.corners.map((c) => c.name);
  const near = /^\d+$/.test(name) ? null : nearestWord(name, names);
  throw new Mistake(
    `no corner ${/^\d/.test(name) ? name : `\`${name}\``}; this circuit has ${names.length === 0 ? 'none' : span(names)}`,
    `a corner of ${circuit.name} as its phase map names them`,
    near ? `perhaps \`${near}\`` : 'correct the name',
  );
}

/** `1 to 12` for numbers that follow each other, else every name. */
function span(names: readonly string[]): string {
  const numbers = names.map(Number);
  const follow =
    numbers.length > 2 && numbers.every((n, i) => Number.isInteger(n) && (i === 0 || n === numbers[i - 1]! + 1));
  return follow ? `${names[0]} to ${names.at(-1)}` : listWords(names);
}

function missing(what: string, word: string, among: readonly string[]): Mistake {
  const near = nearestWord(word, among);
  const some = among.length > 6 ? [...among.slice(0, 2), '…', ...among.slice(-3)] : among;
  return new Mistake(
    `no ${what} \`${word}\``,
    `one of ${some.map((name) => (name === '…' ? name : `\`${name}\``)).join(', ') || 'none, as there is none'}`,
    near ? `perhaps \`${near}\`` : `correct the name: ${HOW}`,
  );
}
