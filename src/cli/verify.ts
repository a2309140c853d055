import { mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join, resolve } from 'node:path';
import { compareResults, type Difference, NOTHING } from '../archive/compareResults.ts';
import { LAYOUT } from '../archive/crate.ts';
import { type EditionFile, editionFile } from '../archive/editionFile.ts';
import { filesOf } from '../archive/filesOf.ts';
import { storedResults } from '../archive/storedResults.ts';
import { type Bytes, verifyBytes } from '../archive/verifyBytes.ts';
import { METHOD_VERSION } from '../campaign/results.ts';
import type { Effects } from '../effects.ts';
import { plural } from '../report/words.ts';
import { analysisHash } from './codeHash.ts';
import { type Command, UsageError } from './command.ts';
import { editionResults } from './editionResults.ts';
import { alone, LOCK } from './lock.ts';
import { recompute } from './recompute.ts';
import type { Written } from './resultsFolder.ts';
import { renderSite } from './site.ts';

/** Numbers that another version of tool or engine gives may differ by this in SI units, where the method is the same. */
const TOLERANCE = 1e-9;
/** So many differences are printed. */
const MOST_SHOWN = 30;

/** `gapbook verify`: checks an archive's bytes, then recomputes its results from its own logs. */
export const verify: Command = {
  name: 'verify',
  usage: `gapbook verify BAG        folder of an edition, or of any bag

Checks that the bag is complete and every file is what it was when the bag was made, and names each file that was changed,
added, removed or renamed. Then, of an edition, computes every figure again from the inputs in it and compares: to the
byte where tool and Node are the ones that made it, else to ${TOLERANCE}. Nothing is written into the bag.

Exit status 1 where something differs. Figures of another version of the method are listed and are no fault.`,
  options: {
    sessions: { kind: 'text', help: 'folder with the logs, where the edition was published without' },
    'bytes-only': { kind: 'flag', help: 'do not recompute' },
    pages: { kind: 'flag', help: 'render the report again as well, and compare it to the byte' },
    fingerprint: { kind: 'text', help: 'the fingerprint that was noted down when it was published' },
    json: { kind: 'flag', help: 'print JSON instead of text' },
  },
  async run(args, effects) {
    const [given, ...more] = args.words;
    if (given === undefined || more.length > 0) throw new UsageError('give one BAG, the folder of an edition');
    const folder = resolve(given);
    if (!(await effects.exists(folder))) throw new UsageError(`there is no ${given}`);
    const bytes = await verifyBytes(folder, effects);
    const wanted = args.text('fingerprint');
    const strange = wanted !== null && wanted.toLowerCase() !== bytes.fingerprint;
    const broken = bytes.findings.some(({ severity }) => severity === 'error');
    const said: string[] = [...bytesSaid(bytes, given)];
    if (strange) said.push(`the fingerprint is ${bytes.fingerprint ?? 'missing'}, not ${wanted}`);
    let figures: Figures | null = null;
    if (bytes.edition !== null && !args.flag('bytes-only')) {
      figures = await verifyFigures(folder, args.text('sessions'), args.flag('pages'), effects);
      said.push(...figures.said);
    }
    const failed = broken || strange || (figures?.failed ?? false);
    if (args.flag('json'))
      effects.out(
        JSON.stringify(
          {
            bag: given,
            valid: !broken,
            edition: bytes.edition,
            fingerprint: bytes.fingerprint,
            findings: bytes.findings,
            figures: figures && { verdict: figures.verdict, differences: figures.differences },
          },
          null,
          2,
        ),
      );
    else for (const line of said) effects.out(line);
    return failed ? 1 : 0;
  },
};

function bytesSaid({ bag, findings, edition, fingerprint }: Bytes, given: string): string[] {
  const errors = findings.filter(({ severity }) => severity === 'error');
  return [
    ...findings.map(({ severity, path, text }) => `${severity === 'error' ? 'wrong' : 'odd'}  ${path} ${text}`),
    errors.length > 0
      ? `${given} is not what it was, or no bag: ${plural(errors.length, 'fault')}`
      : `${given} is a bag of version ${bag.version}, ${plural(bag.files.size, 'file')}, each as it was when the bag was made`,
    ...(edition === null && errors.length === 0
      ? ['It is not an edition of gapbook: there is nothing to recompute.']
      : []),
    ...(fingerprint === null ? [] : [`fingerprint ${fingerprint}`]),
  ];
}

interface Figures {
  readonly verdict: 'equal' | 'close' | 'method' | 'different' | 'impossible';
  readonly failed: boolean;
  readonly differences: readonly (Difference & { readonly file: string })[];
  readonly said: readonly string[];
}

const impossible = (failed: boolean, ...said: string[]): Figures => ({
  verdict: 'impossible',
  failed,
  differences: [],
  said,
});

async function verifyFigures(
  folder: string,
  sessions: string | null,
  pages: boolean,
  effects: Effects,
): Promise<Figures> {
  const edition = await readEdition(folder, effects);
  if (!edition) return impossible(true, `data/${LAYOUT.edition} cannot be read, so nothing can be recomputed`);
  const work = await mkdtemp(join(tmpdir(), 'gapbook-verify-'));
  const quiet: Effects = { ...effects, out: () => {} };
  try {
    const done = await recompute(folder, edition, sessions === null ? null : resolve(sessions), work, quiet);
    if ('missing' in done)
      return impossible(
        sessions !== null,
        `The figures cannot be recomputed: ${sessions === null ? 'it was published without' : 'there is no'} ${done.missing.slice(0, 5).join(', ')}${done.missing.length > 5 ? ` and ${done.missing.length - 5} more` : ''}.`,
        ...(sessions === null ? ['Give the folder with the logs with --sessions.'] : []),
      );
    const { written } = done;
    const figures = compared(
      edition,
      await differences(folder, written, effects),
      await sameCode(edition, quiet),
      written,
    );
    if (!pages) return figures;
    const other = await otherPages(folder, written, work, quiet);
    return {
      ...figures,
      failed: figures.failed || other.length > 0,
      said: [
        ...figures.said,
        ...other.map((path) => `wrong  data/${LAYOUT.site}/${path} is rendered otherwise now`),
        ...(other.length === 0 ? ['The report was rendered again: equal to the byte.'] : []),
      ],
    };
  } finally {
    await rm(work, { recursive: true, force: true });
  }
}

async function readEdition(folder: string, effects: Effects): Promise<EditionFile | null> {
  try {
    return editionFile.parse(JSON.parse(await effects.text(join(folder, 'data', LAYOUT.edition))));
  } catch {
    return null;
  }
}

const sameCode = async ({ code }: EditionFile, effects: Effects): Promise<boolean> =>
  code.analysis === (await analysisHash(effects));

/** Every figure that differs at all, by the file that it stands in. */
async function differences(folder: string, written: Written, effects: Effects): Promise<Figures['differences']> {
  const data = join(folder, 'data');
  const { campaign, sessions } = await storedResults(data, effects);
  const curves = await effects.text(join(data, LAYOUT.curves)).catch(() => null);
  const stored = new Map([
    ...(campaign ? [campaign] : []),
    ...sessions,
    ...(curves === null ? [] : [[LAYOUT.curves, curves] as const]),
  ]);
  // Earlier editions have them unpacked.
  const now = new Map(
    [...(await editionResults(written.folder, effects))].map(([path, text]) => {
      const plain = path.replace(/\.gz$/, '');
      return [stored.has(plain) ? plain : path, text];
    }),
  );
  const found: (Difference & { file: string })[] = [];
  for (const path of [...new Set([...stored.keys(), ...now.keys()])].sort()) {
    const before = stored.get(path);
    const after = now.get(path);
    if (before === after) continue;
    const read = (text: string | undefined): unknown => {
      try {
        return text === undefined ? undefined : JSON.parse(text);
      } catch {
        return text;
      }
    };
    const list = compareResults(read(before), read(after), 0);
    const whole: Difference = { figure: 'the way it is written', before: 'other bytes', now: 'other bytes', apart: 0 };
    for (const difference of list.length > 0 ? list : [whole]) found.push({ ...difference, file: `data/${path}` });
  }
  return found;
}

function compared(edition: EditionFile, all: Figures['differences'], same: boolean, { sessions }: Written): Figures {
  const laps = sessions.flatMap(({ runs }) => runs.flatMap((run) => run.laps)).length;
  const of = `${plural(sessions.length, 'session')}, ${plural(laps, 'lap')}`;
  if (all.length === 0)
    return {
      verdict: 'equal',
      failed: false,
      differences: [],
      said: [`Every figure was computed again from the logs (${of}): equal to the byte.`],
    };
  // Curves are kept as hashes, which say nothing of how far apart two of them are.
  const far = all.filter(
    ({ apart, before, file, figure }) =>
      !(apart !== null && apart <= TOLERANCE) &&
      !(file.startsWith(`data/${LAYOUT.site}/campaign.json`) && figure.startsWith('tool')) &&
      // What a later tool says besides is no figure of the edition.
      before !== NOTHING &&
      file !== `data/${LAYOUT.curves}`,
  );
  const list = (of: Figures['differences']): string[] => [
    ...of.slice(0, MOST_SHOWN).map((d) => `differs  ${d.file}: ${d.figure}: ${d.before} in the edition, ${d.now} now`),
    ...(of.length > MOST_SHOWN ? [`and ${of.length - MOST_SHOWN} more; --json lists all`] : []),
  ];
  const { version, node } = edition.tool;
  if (edition.method !== METHOD_VERSION)
    return {
      verdict: 'method',
      failed: false,
      differences: all,
      said: [
        ...list(far),
        `${plural(far.length, 'figure')} of ${of} differ because this tool has method version ${METHOD_VERSION} and the edition ${edition.method}. To compare to the byte, use the tool in data/${LAYOUT.tool(version)} with Node ${node}.`,
      ],
    };
  if (!same && far.length === 0)
    return {
      verdict: 'close',
      failed: false,
      differences: all,
      said: [
        `Every figure was computed again from the logs (${of}): equal within ${TOLERANCE}. This is not the tool or the Node that made the edition (gapbook ${version}, Node ${node}), so the bytes need not agree.`,
      ],
    };
  const shown = same ? all : far;
  return {
    verdict: 'different',
    failed: true,
    differences: all,
    said: [
      ...list(shown),
      `${plural(shown.length, 'figure')} of ${of} ${shown.length === 1 ? 'is' : 'are'} not what the edition says${same ? ', though tool and Node are the ones that made it' : ` (made by gapbook ${version}, Node ${node}; this is another tool or Node of the same method)`}.`,
    ],
  };
}

/** Files of the report that are not, or not alike, in a report rendered now. */
async function otherPages(folder: string, written: Written, work: string, effects: Effects): Promise<string[]> {
  const [before, now] = [join(folder, 'data', LAYOUT.site), join(work, 'site')];
  await alone(LOCK, effects, () => renderSite(written, now, join(work, 'cache'), effects));
  const names = new Set([...(await filesOf(before, effects)).files, ...(await filesOf(now, effects)).files]);
  const bytes = async (path: string): Promise<string | null> => {
    const chunks: Uint8Array[] = [];
    try {
      for await (const chunk of effects.chunks(path)) chunks.push(chunk);
    } catch {
      return null;
    }
    return Buffer.concat(chunks).toString('latin1');
  };
  const other: string[] = [];
  for (const name of [...names].sort())
    if ((await bytes(join(before, name))) !== (await bytes(join(now, name)))) other.push(name);
  return other;
}
