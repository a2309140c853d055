import type { Effects } from '../effects.ts';
import type { Problem } from '../problem.ts';
import { type ColumnMap, recordingOf } from './columns.ts';
import { FORMATS } from './formats.ts';
import type { Recording } from './recording.ts';

/** What a run's keys say about its file. */
export interface LogRequest {
  /** Where the file lies. */
  readonly path: string;
  /** As the user knows it. */
  readonly file: string;
  readonly columns: ColumnMap;
  readonly decimal?: '.' | ',' | undefined;
  /** Read every column that converts, not only the channels with a meaning. */
  readonly everything?: boolean;
}

/**
 * Reads one log of whatever format its content shows.
 *
 * @returns the recording, or null with the problem that says why there is none
 */
export async function readLog(
  request: LogRequest,
  effects: Effects,
): Promise<{ recording: Recording | null; problems: readonly Problem[] }> {
  const { file, path } = request;
  const none = (problem: Problem) => ({ recording: null, problems: [problem] });
  if (!(await effects.exists(path)))
    return none({
      code: 'FILE_MISSING',
      severity: 'stop',
      place: { file },
      found: 'no such file',
      expected: 'the log that the session file names',
      remedy: 'copy the file beside session.md, or correct its name under `runs:`',
    });
  try {
    const chunks = effects.chunks(path)[Symbol.asyncIterator]();
    const first = await chunks.next();
    const head: Uint8Array = first.done ? new Uint8Array(0) : first.value;
    const format = FORMATS.find((candidate) => candidate.recognise(head.subarray(0, 1 << 16)));
    if (!format)
      return none({
        code: head.length === 0 ? 'LOG_EMPTY' : 'FORMAT_UNKNOWN',
        severity: 'stop',
        place: { file, byte: 0 },
        found: head.length === 0 ? 'an empty file' : `bytes that begin with ${preview(head)}`,
        expected: `a log of a format that is read: ${FORMATS.map(({ id }) => id).join(', ')}`,
        remedy: 'export the log as CSV with one heading line, `name [unit],…`, and numbers below it',
      });
    const table = await format.read(again(head, chunks), {
      file,
      decimal: request.decimal,
      wanted: (heading) => request.everything === true || request.columns.wants(heading),
    });
    return recordingOf(table, request.file, request.columns);
  } catch (error) {
    return none({
      code: 'FILE_UNREADABLE',
      severity: 'stop',
      place: { file },
      found: error instanceof Error ? error.message.replaceAll(path, file) : String(error),
      expected: 'a file that can be read to its end',
      remedy: 'check the file’s permissions and copy it again from the logger',
    });
  }
}

async function* again(head: Uint8Array, rest: AsyncIterator<Uint8Array>): AsyncGenerator<Uint8Array> {
  if (head.length > 0) yield head;
  for (let next = await rest.next(); !next.done; next = await rest.next()) yield next.value;
}

function preview(head: Uint8Array): string {
  const text = new TextDecoder('latin1').decode(head.subarray(0, 24));
  return /^[\x20-\x7e\r\n\t]*$/.test(text)
    ? `\`${text.split(/[\r\n]/)[0]}\``
    : [...head.subarray(0, 8)].map((b) => b.toString(16).padStart(2, '0')).join(' ');
}
