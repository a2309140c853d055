import { createHash, type Hash } from 'node:crypto';
import { type Effects, PIECE_BYTES } from '../effects.ts';
import type { Problem } from '../problem.ts';
import { ColumnMap, recordingOf } from './columns.ts';
import { FORMATS } from './formats.ts';
import { peek } from './peek.ts';
import type { ChannelName, Recording } from './recording.ts';
import { Refusal } from './refusal.ts';
import { type Cut, HEAD_BYTES } from './table.ts';
import { type Unpacked, unpacked } from './unpacked.ts';

/** What a run's keys say about its file. */
export interface LogRequest {
  /** Where the file lies. */
  readonly path: string;
  /** As the user knows it. */
  readonly file: string;
  readonly columns: ColumnMap;
  readonly decimal?: '.' | ',' | undefined;
  /** Read every column that holds numbers, not only the channels with a meaning. */
  readonly everything?: boolean;
  /** Channels whose values are wanted; the columns of others are listed, not parsed. All by default. */
  readonly channels?: ReadonlySet<ChannelName>;
}

interface Read {
  readonly recording: Recording | null;
  readonly problems: readonly Problem[];
}

/**
 * Reads one log of whatever format its content shows, packed or not, in bounded memory.
 *
 * A file that breaks off is used up to its break.
 *
 * @returns the recording, or null with the problem that says why there is none
 */
export async function readLog(request: LogRequest, effects: Effects): Promise<Read> {
  const { file, path } = request;
  const none = (problem: Problem): Read => ({ recording: null, problems: [problem] });
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
    // One room for all pieces: memory that the system gives anew costs more than what is read into it.
    return await readFormat(request, effects.chunks(path, Buffer.allocUnsafeSlow(PIECE_BYTES)));
  } catch (error) {
    if (error instanceof Refusal) return none(error.problem);
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

/**
 * The headings of a log that name no channel by themselves, with the unit that the file itself gives them, in its order;
 * empty where the file cannot be read.
 */
export async function unnamedHeadings(
  { path, file }: { readonly path: string; readonly file: string },
  effects: Effects,
): Promise<{ heading: string; unit: string | null }[]> {
  const map = new ColumnMap();
  try {
    const content = await unpacked(effects.chunks(path), file);
    const start = await peek(content.chunks, HEAD_BYTES);
    const format = FORMATS.find((candidate) => candidate.recognise(start.head.subarray(0, HEAD_BYTES)));
    const table = await format?.read(start.chunks, { file, wanted: () => false });
    return (table?.headings ?? []).flatMap((heading, i) =>
      map.channelOf(heading) === null ? [{ heading, unit: table?.units[i] ?? null }] : [],
    );
  } catch {
    return [];
  }
}

async function readFormat(request: LogRequest, chunks: AsyncIterable<Uint8Array>): Promise<Read> {
  const { file } = request;
  const print = { hash: createHash('sha256'), bytes: 0 };
  const content = await unpacked(printed(chunks, print), file);
  const start = await peek(content.chunks, HEAD_BYTES);
  const format = FORMATS.find((candidate) => candidate.recognise(start.head.subarray(0, HEAD_BYTES)));
  if (!format) throw unknown(file, start.head, content);

  const table = await format.read(start.chunks, {
    file,
    decimal: request.decimal,
    wanted: (heading) => {
      if (request.everything === true) return true;
      const claim = request.columns.channelOf(heading);
      const known = claim !== null && claim.name !== 'time' && request.channels !== undefined;
      return known ? request.channels.has(claim.name) : request.columns.wants(heading);
    },
  });
  const cut = content.cut() ? CUT_PACKING : table.cut;
  const { recording, problems } = recordingOf(
    cut === null ? table : { ...table, problems: [...table.problems, cutProblem(file, cut, print.bytes)] },
    { file, bytes: print.bytes, sha256: print.hash.digest('hex') },
    request.columns,
  );
  return { recording, problems };
}

/** Counts and hashes the bytes as they lie in the file. */
async function* printed(
  chunks: AsyncIterable<Uint8Array>,
  print: { hash: Hash; bytes: number },
): AsyncGenerator<Uint8Array> {
  for await (const chunk of chunks) {
    print.hash.update(chunk);
    print.bytes += chunk.length;
    yield chunk;
  }
}

const CUT_PACKING: Cut = { found: 'a packed file that breaks off', kept: 'everything before it is used', lost: true };

function cutProblem(file: string, { line, found, kept, lost }: Cut, byte: number): Problem {
  return {
    code: 'LOG_CUT',
    severity: lost ? 'warn' : 'note',
    place: { file, ...(line === undefined ? {} : { line }), byte },
    found,
    expected: 'a file that is complete to its end',
    remedy: `${kept}${lost ? '; copy the log again if the source has more' : ''}`,
  };
}

function unknown(file: string, head: Uint8Array, { packing, cut }: Unpacked): Refusal {
  const empty = head.length === 0;
  const nothing = cut() ? `a beginning of ${packing} too short to unpack` : 'an empty file';
  return new Refusal({
    code: empty ? 'LOG_EMPTY' : 'FORMAT_UNKNOWN',
    severity: 'stop',
    place: { file, byte: 0 },
    found: empty ? nothing : `${packing === null ? '' : `${packing} of `}bytes that begin with ${preview(head)}`,
    expected: `a log of a format that is read: ${FORMATS.map(({ id }) => id).join(', ')}, also packed with gzip or zstd`,
    remedy: 'export the log as CSV with one heading line, `name [unit],…`, and numbers below it',
  });
}

function preview(head: Uint8Array): string {
  const text = new TextDecoder('latin1').decode(head.subarray(0, 24));
  return /^[\x20-\x7e\r\n\t]*$/.test(text)
    ? `\`${text.split(/[\r\n]/)[0]}\``
    : [...head.subarray(0, 8)].map((b) => b.toString(16).padStart(2, '0')).join(' ');
}
