import { asUtf8, encodingProblem, sniffEncoding, textOf } from './encoding.ts';
import { GpxPoints } from './gpxPoints.ts';
import { LIMITS, tooLarge } from './limits.ts';
import { peek } from './peek.ts';
import { Refusal } from './refusal.ts';
import { type Cut, type Format, HEAD_BYTES, type Table, type TableRequest } from './table.ts';

const NAMESPACE = 'http://www.topografix.com/GPX/1/';

/** GPS Exchange Format 1.1 (Topografix, 2004): the points of its tracks, with whatever numbers they carry. */
export const gpx: Format = {
  id: 'gpx',
  recognise(head) {
    const text = textOf(head.subarray(0, 4096));
    return text !== null && /^\s*</.test(text) && /<(?![?!])(?:[\w.-]+:)?([\w.-]+)/.exec(text)?.[1] === 'gpx';
  },
  read,
};

async function read(chunks: AsyncIterable<Uint8Array>, request: TableRequest): Promise<Table> {
  const { file } = request;
  const start = await peek(chunks, HEAD_BYTES);
  const encoding = sniffEncoding(start.head) ?? 'utf-8';
  const text = await textBelow(LIMITS.gpxBytes, asUtf8(start.chunks, encoding), file);
  refuseEntities(text, file);

  const points = new GpxPoints(request);
  const [root = ''] = /<(?:[\w.-]+:)?gpx[\s>/][^>]*/.exec(text) ?? [];
  if (!root.includes(NAMESPACE)) points.departure('no namespace of GPX in `<gpx>`');
  const cut = await parse(text, points);
  const foreign = encodingProblem(encoding, file);
  const table = points.table(cut);
  return foreign ? { ...table, problems: [foreign, ...table.problems] } : table;
}

async function textBelow(limit: number, chunks: AsyncIterable<Uint8Array>, file: string): Promise<string> {
  const decoder = new TextDecoder();
  const parts: string[] = [];
  let bytes = 0;
  for await (const chunk of chunks) {
    bytes += chunk.length;
    if (bytes > limit) throw tooLarge(file, {}, `more than ${limit / 1e6} MB of GPX`, `at most ${limit / 1e6} MB`);
    parts.push(decoder.decode(chunk, { stream: true }));
  }
  parts.push(decoder.decode());
  return parts.join('');
}

/** A few lines of entities that contain each other grow to gigabytes; no logger writes any. */
function refuseEntities(text: string, file: string): void {
  const at = text.search(/<!(ENTITY|DOCTYPE[^>]*\[)/i);
  if (at === -1) return;
  throw new Refusal({
    code: 'XML_ENTITY',
    severity: 'stop',
    place: { file, line: text.slice(0, at).split('\n').length },
    found: 'a document type with declarations of its own',
    expected: 'GPX without `<!DOCTYPE … [`',
    remedy: 'take the declarations out, or export the track again',
  });
}

/** Runs through the text once; points are handed over as they come, so the tree never grows. */
async function parse(text: string, points: GpxPoints): Promise<Cut | null> {
  // Loaded when a GPX file comes along: most logs are none.
  const { XMLParser } = await import('fast-xml-parser');
  const parser = new XMLParser({
    ignoreAttributes: false,
    attributeNamePrefix: '',
    removeNSPrefix: true,
    processEntities: false,
    parseTagValue: false,
    parseAttributeValue: false,
    updateTag: (name, _path, attributes) => points.open(name, attributes ?? {}),
    tagValueProcessor(name, value, _path, _hasAttributes, isLeaf) {
      points.leaf(name, value, isLeaf);
      return undefined;
    },
  });
  try {
    parser.parse(text);
  } catch (error) {
    return cutAt(text, error);
  }
  return /<\/(?:[\w.-]+:)?gpx\s*>\s*(?:<!--[\s\S]*-->\s*)*$|<(?:[\w.-]+:)?gpx[^<>]*\/>\s*$/.test(text.slice(-2000))
    ? null
    : cutAt(text, null);
}

function cutAt(text: string, error: unknown): Cut {
  const why = error instanceof Error ? ` (${error.message.split('\n')[0]?.slice(0, 120)})` : '';
  return {
    line: text.split('\n').length,
    found: `XML that breaks off or is not well formed${why}`,
    kept: 'the points before it are used',
    lost: true,
  };
}
