import fc from 'fast-check';
import { beforeAll, describe, expect, test } from 'vitest';
import { claimsReport } from '../../../src/report/claims.ts';
import { claimsOf, noteProblems } from '../../../src/report/notes/checkedNotes.ts';
import { type Claim, isChanged } from '../../../src/report/notes/claim.ts';
import { confirmed } from '../../../src/report/notes/confirmed.ts';
import { analysed, ovalFiles } from './ovalCampaign.ts';

const WEEK = 'c/weeks/2026-W04.md';
const [REF, FIRST, SECOND] = ['2026-01-05-reference', '2026-01-13-first', '2026-01-20-second'];

/** What each claim stands on, thought out by hand: the log, what it was read with, and what it is compared with. */
const circuit = ['c/circuits/oval.geojson'];
const phases = ['c/circuits/oval.phases.yaml'];
const reference = [`s/${REF}/session.md`, `s/${REF}/run-01.csv`, 'c/campaign.md'];
const first = (...runs: string[]): string[] => [
  `s/${FIRST}/session.md`,
  ...runs.map((run) => `s/${FIRST}/${run}`),
  ...circuit,
];
const second = [`s/${SECOND}/session.md`, `s/${SECOND}/run-01.csv`, ...circuit];
const both = ['run-01.csv', 'run-02.csv'];
const CLAIMS: readonly (readonly [query: string, files: readonly string[]])[] = [
  [`time of=${FIRST}/run-01.csv/1 from=0`, first('run-01.csv')],
  [`time of=${FIRST}/run-02.csv/1 from=0`, first('run-02.csv')],
  [`time of=${FIRST} from=0`, [...first(...both), ...reference]],
  [`gap of=${FIRST} from=0`, [...first(...both), ...reference]],
  [`gap of=${FIRST}/run-02.csv from=0`, [...first('run-02.csv'), ...reference]],
  [`gap of=${SECOND}/run-01.csv/1 from=0`, [...second, ...reference]],
  [`gap of=${SECOND} against=${FIRST} to=0`, [...second, ...first(...both), ...reference]],
  [`loss of=${SECOND} corner=1 from=-9`, [...second, ...reference, ...phases]],
  [`slowest of=${FIRST}/run-01.csv corner=1 from=0`, [...first('run-01.csv'), ...reference, ...phases]],
  [`laps of=${SECOND} from=1`, second],
  [`counted of=${SECOND} from=0`, [...second, ...reference]],
  [`laps of=${REF} from=1`, [`s/${REF}/session.md`, `s/${REF}/run-01.csv`, ...circuit]],
  [`controller of=${SECOND} is=0.1.0`, [`s/${SECOND}/session.md`]],
];

const note = CLAIMS.map(([query]) => `It is :claim[so: ${query}]{${query}}.`).join('\n\n');
/** Claims that stand as changed, or cannot be read any more, by their query. */
const flagged = (claims: readonly Claim[]): string[] =>
  CLAIMS.map(([query]) => query).filter((query) => {
    const claim = claims.find((c) => c.text === `so: ${query}`);
    return !claim || isChanged(claim);
  });

let files: Record<string, string>;
beforeAll(async () => {
  const made = await analysed({ ...ovalFiles(), [WEEK]: `${note}\n` });
  files = Object.fromEntries(made.files);
  files[WEEK] = confirmed(files[WEEK]!, claimsOf(made));
});

/** A digit at some place of a file made another one. */
const changedAt = (text: string, from: number, to: number, pick: number, by: number): string => {
  const digits = [...text.slice(from, to).matchAll(/\d/g)].map(({ index }) => index + from);
  const at = digits[Math.floor(pick * digits.length)]!;
  return `${text.slice(0, at)}${(Number(text[at]) + by) % 10}${text.slice(at + 1)}`;
};

describe('claims', () => {
  test('confirmed on the inputs as they are, none is changed and nothing is wrong', async () => {
    const results = await analysed(files);
    expect(claimsOf(results)).toHaveLength(CLAIMS.length);
    expect(noteProblems(results)).toEqual([]);
  });

  test('a byte of any input changes exactly the claims that stand on it', async () => {
    const inputs = Object.keys(files).filter((file) => file !== WEEK);
    await fc.assert(
      fc.asyncProperty(
        fc.constantFrom(...inputs),
        fc.double({ min: 0, max: 1, maxExcluded: true, noNaN: true }),
        fc.integer({ min: 1, max: 9 }),
        async (file, pick, by) => {
          const text = files[file]!;
          // Of files with notes, what stands above the notes; of the campaign, the choice of the reference.
          const front = file.endsWith('.md') ? text.indexOf('\n---\n', 4) : text.length;
          const from = file === 'c/campaign.md' ? text.indexOf('reference: 2026') : 0;
          const changed = changedAt(text, from, front, pick, by);
          const results = await analysed({ ...files, [file]: changed });
          const expected = CLAIMS.filter(([, on]) => on.includes(file)).map(([query]) => query);
          const seen = flagged(claimsOf(results));
          // Where the circuit or a boundary can no longer be used, what needs it is gone as well.
          const gone = results.campaign.problems.some((p) => p.severity === 'stop' && /circuits/.test(p.place.file));
          if (gone) expect(seen).toEqual(expect.arrayContaining(expected));
          else expect(seen).toEqual(expected);
        },
      ),
      { numRuns: process.env['GAPBOOK_FULL'] === '1' ? 300 : 40, seed: 11 },
    );
  });

  test.each(Object.entries({ 'c/campaign.md': 'What it is about', [`s/${SECOND}/session.md`]: 'What happened' }))(
    'the notes of %s and the title of the campaign are no input',
    async (file, words) => {
      const changed = files[file]!.replace(words, 'Wham').replace('title: Oval', 'title: Egg');
      expect(changed).not.toBe(files[file]);
      expect(flagged(claimsOf(await analysed({ ...files, [file]: changed })))).toEqual([]);
    },
  );

  test('a file that nothing stands on changes nothing', async () => {
    expect(flagged(claimsOf(await analysed({ ...files, [`s/${SECOND}/readme.txt`]: 'x' })))).toEqual([]);
  });

  test('another session changes nothing, but for what is said of the latest', async () => {
    const day = '2026-01-27-third';
    const more = {
      ...files,
      [`s/${day}/session.md`]: files[`s/${SECOND}/session.md`]!.replace('2026-01-20', '2026-01-27'),
      [`s/${day}/run-01.csv`]: files[`s/${SECOND}/run-01.csv`]!,
    };
    expect(flagged(claimsOf(await analysed(more)))).toEqual([]);
    const latest = (of: Record<string, string>) => ({
      ...of,
      'c/weeks/2026-W05.md': ':claim[x]{gap of=latest from=0}\n',
    });
    const before = (await analysed(latest(files)).then(claimsOf))[0]!.mark;
    const after = (await analysed(latest(more)).then(claimsOf)).find((c) => c.note.title === '2026-W05')!.mark;
    expect(after).not.toBe(before);
  });

  test('without a usable phase map a gap has no value, and its claims are changed and untrue', async () => {
    const results = await analysed({ ...files, 'c/circuits/oval.phases.yaml': 'version: nothing' });
    const gap = claimsOf(results).find((c) => c.text.startsWith('so: gap'))!;
    expect(isChanged(gap)).toBe(true);
    expect(gap.holds).toBe(false);
  });
});

describe('what is said of claims', () => {
  const said = async (claim: string) => noteProblems(await analysed({ ...files, [WEEK]: `First.\n\n${claim}\n` }));

  test('an untrue one stops, with the value now, its range and its line', async () => {
    const [first, ...rest] = await said(`:claim[It rode a lot]{laps of=${SECOND} from=100 on=000000000000}`);
    expect(first).toMatchObject({
      code: 'CLAIM_UNTRUE',
      severity: 'stop',
      place: { file: 'weeks/2026-W04.md', line: 3 },
    });
    expect(first!.found).toBe('“It rode a lot”: 4');
    expect(first!.expected).toBe('at least 100');
    expect(rest.map((p) => p.code)).toEqual(['CLAIM_CHANGED']);
  });

  test('one that nobody confirmed is a note, with the mark to write', async () => {
    const [first] = await said(`:claim[It rode]{laps of=${SECOND} from=1}`);
    expect(first).toMatchObject({ code: 'CLAIM_UNCONFIRMED', severity: 'note' });
    expect(first!.expected).toMatch(/`on=[0-9a-f]{12}`/);
  });

  test('a question that was edited has to be confirmed again; a range or a spelling does not', async () => {
    const text = confirmed(
      `:claim[x]{laps of=${SECOND} from=1}\n`,
      claimsOf(await analysed({ ...files, [WEEK]: `:claim[x]{laps of=${SECOND} from=1}\n` })),
    );
    expect(await said(text)).toEqual([]);
    expect(await said(text.replace('from=1', 'from="2" to=4'))).toEqual([]);
    expect((await said(text.replace('laps', 'counted')))[0]?.code).toBe('CLAIM_CHANGED');
  });

  test('the page of claims names every file that each stands on', async () => {
    const { stands: table, groups } = claimsReport(await analysed(files));
    expect(groups.map((g) => [g.id, g.table.rows.length])).toEqual([['holding', CLAIMS.length]]);
    const on = (query: string): string[] =>
      table!.rows.filter((row) => row[2]!.text === `so: ${query}`).map((row) => row[0]!.text);
    for (const [query, expected] of CLAIMS)
      expect(
        on(query)
          .filter((file) => !file.endsWith('usable'))
          .map((file) => file.replace(/, reference of.*/, ''))
          .sort(),
        query,
      ).toEqual([...new Set(expected.map((file) => file.replace(/^[cs]\//, '')))].sort());
  });
});

describe('confirming', () => {
  const claim = (text: string, from: number, to: number) =>
    ({ span: [from, to], mark: 'abc', note: { text } }) as unknown as Claim;

  test.each([
    [':claim[x]{gap from=0}', ':claim[x]{gap from=0 on=abc}'],
    [':claim[x]{gap from=0 on=old}', ':claim[x]{gap from=0 on=abc}'],
    [':claim[x]{gap on="old" from=0}', ':claim[x]{gap on=abc from=0}'],
    [':claim[x on=y]{gap from="0 s" }', ':claim[x on=y]{gap from="0 s" on=abc}'],
    [':claim[x {y}]{condition name="on=} z" is=a}', ':claim[x {y}]{condition name="on=} z" is=a on=abc}'],
  ])('%s', (before, after) => {
    const file = `---\ntitle: A\n---\nText ${before} end\n`;
    const text = `Text ${before} end`;
    expect(confirmed(file, [claim(text, 5, 5 + before.length)])).toBe(`---\ntitle: A\n---\nText ${after} end\n`);
  });
});
