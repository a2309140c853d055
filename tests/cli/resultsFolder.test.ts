import { appendFileSync, existsSync, readFileSync, renameSync, rmSync, statSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import { writeResults } from '../../src/cli/resultsFolder.ts';
import { type Effects, machine } from '../../src/effects.ts';
import { filesBelow } from '../site/siteFolder.ts';
import { addSession, differing, SESSIONS, smallDemo } from './smallDemo.ts';

const [REFERENCE, ROBOT] = SESSIONS;

/** The machine with its mouth shut, noting what it said and which logs were opened. */
function listening(): Effects & { readonly said: string[]; readonly opened: string[] } {
  const effects = machine();
  const said: string[] = [];
  const opened: string[] = [];
  return {
    ...effects,
    said,
    opened,
    out: (line) => void said.push(line),
    err: (line) => void said.push(line),
    progress: () => {},
    chunks(path) {
      if (path.endsWith('.csv')) opened.push(path.split('/').slice(-2).join('/'));
      return effects.chunks(path);
    },
  };
}

async function built(demo: { content: string; sessions: string }, cache: string) {
  const effects = listening();
  const { hash, sessions } = await writeResults(demo, cache, null, effects);
  return { hash, sessions, said: effects.said, opened: effects.opened };
}

/** Changes one digit of the last whole row of a log: same size. */
function touchLog(path: string): void {
  const text = readFileSync(path, 'latin1');
  const at = text.trimEnd().length - 1;
  writeFileSync(path, `${text.slice(0, at)}${text[at] === '1' ? '2' : '1'}${text.slice(at + 1)}`, 'latin1');
}

describe('a second build of the same campaign', () => {
  test('analyses nothing, opens no log, and leaves every result as it is', async () => {
    const demo = smallDemo();
    const cache = join(demo.home, 'cache');
    const first = await built(demo, cache);
    expect(first.said).toEqual([`analysed ${REFERENCE}: new`, `analysed ${ROBOT}: new`]);
    const stamps = filesBelow(join(cache, 'site')).map((path) => statSync(join(cache, 'site', path)).mtimeMs);
    const again = await built(demo, cache);
    expect(again.said).toEqual(['2 of 2 sessions unchanged']);
    expect(again.opened).toEqual([]);
    expect(again.hash).toBe(first.hash);
    expect(again.sessions).toEqual(first.sessions);
    expect(filesBelow(join(cache, 'site')).map((path) => statSync(join(cache, 'site', path)).mtimeMs)).toEqual(stamps);
  });

  test('analyses what changed and says why; the outcome is that of a first build', async () => {
    const demo = smallDemo();
    const cache = join(demo.home, 'cache');
    let cold = 0;
    /** Builds on what is kept and from nothing, and compares. */
    const said = async (): Promise<string[]> => {
      const now = await built(demo, cache);
      const other = join(demo.home, `cold-${cold++}`);
      await built(demo, other);
      expect(differing(join(cache, 'site'), join(other, 'site'))).toEqual([]);
      return now.said;
    };
    await built(demo, cache);

    const log = join(demo.sessions, ROBOT, 'run-01.csv');
    touchLog(log);
    expect(await said()).toEqual([`analysed ${ROBOT}: run-01.csv changed`, '1 of 2 sessions unchanged']);

    appendFileSync(join(demo.sessions, ROBOT, 'session.md'), '\nThe wind had turned.\n');
    expect(await said()).toEqual([`new notes of ${ROBOT}`, '2 of 2 sessions unchanged']);

    // Notes of the reference session are no number's input; its log is everybody's.
    appendFileSync(join(demo.sessions, REFERENCE, 'session.md'), '\nA good day.\n');
    expect(await said()).toEqual([`new notes of ${REFERENCE}`, '2 of 2 sessions unchanged']);
    touchLog(join(demo.sessions, REFERENCE, 'run-01.csv'));
    const of = `${REFERENCE}/run-01.csv of the reference changed`;
    expect(await said()).toEqual([
      `analysed ${REFERENCE}: ${of.replace(' changed', '')}, run-01.csv changed`,
      `analysed ${ROBOT}: ${of}`,
    ]);

    const circuit = join(demo.content, 'circuits', 'saltmarsh.phases.yaml');
    writeFileSync(circuit, readFileSync(circuit, 'utf8').replace('version: 1', 'version: 2'));
    const why = 'circuits/saltmarsh.phases.yaml changed';
    expect(await said()).toEqual([`analysed ${REFERENCE}: ${why}`, `analysed ${ROBOT}: ${why}`]);

    const campaign = join(demo.content, 'campaign.md');
    writeFileSync(campaign, readFileSync(campaign, 'utf8').replace('name: Robot,', 'name: The robot,'));
    const riders = 'riders in campaign.md changed';
    expect(await said()).toEqual([`analysed ${REFERENCE}: ${riders}`, `analysed ${ROBOT}: ${riders}`]);

    writeFileSync(campaign, readFileSync(campaign, 'utf8').replace('title: ', 'title: Once more, '));
    expect(await said()).toEqual(['2 of 2 sessions unchanged']);
  });

  test('takes a session in, and takes out one that is gone with all its files', async () => {
    const demo = smallDemo();
    const cache = join(demo.home, 'cache');
    await built(demo, cache);
    const before = filesBelow(join(cache, 'site'));
    addSession(demo.sessions, '2026-02-03-first');
    expect((await built(demo, cache)).said).toEqual(['analysed 2026-02-03-first: new', '2 of 3 sessions unchanged']);
    rmSync(join(demo.sessions, '2026-02-03-first'), { recursive: true });
    expect((await built(demo, cache)).said).toEqual([
      'removed 2026-02-03-first: its session is gone',
      '2 of 2 sessions unchanged',
    ]);
    expect(filesBelow(join(cache, 'site'))).toEqual(before);
  });

  test('mends a cache in which files are missing or damaged', async () => {
    const demo = smallDemo();
    const cache = join(demo.home, 'cache');
    const { hash } = await built(demo, cache);
    const result = join(cache, 'site', 'results', `${ROBOT}.json`);
    writeFileSync(result, readFileSync(result, 'utf8').slice(0, 1000));
    const mended = await built(demo, cache);
    expect(mended.said).toEqual([`analysed ${ROBOT}: its result is gone`, '1 of 2 sessions unchanged']);
    expect(mended.hash).toBe(hash);
    writeFileSync(join(cache, 'files.json'), 'nonsense');
    writeFileSync(join(cache, 'circuits', 'saltmarsh.json'), '');
    expect((await built(demo, cache)).said).toEqual(['2 of 2 sessions unchanged']);
    rmSync(join(cache, 'sessions'), { recursive: true });
    expect((await built(demo, cache)).hash).toBe(hash);
  });

  test('knows a log again that was copied or given new stamps', async () => {
    const demo = smallDemo();
    const cache = join(demo.home, 'cache');
    await built(demo, cache);
    const log = join(demo.sessions, ROBOT, 'run-01.csv');
    writeFileSync(`${log}.new`, readFileSync(log));
    renameSync(`${log}.new`, log);
    const again = await built(demo, cache);
    expect(again.said).toEqual(['2 of 2 sessions unchanged']);
    expect(again.opened).toEqual([`${ROBOT}/run-01.csv`]);
  });

  test('proposes the phase map once, and counts by what stands in its file', async () => {
    const demo = smallDemo();
    const cache = join(demo.home, 'cache');
    const map = join(demo.content, 'circuits', 'saltmarsh.phases.yaml');
    rmSync(map);
    const first = await built(demo, cache);
    expect(existsSync(map)).toBe(true);
    const again = await built(demo, cache);
    expect(again.said).toEqual(['2 of 2 sessions unchanged']);
    expect(again.opened).toEqual([]);
    const cold = await built(demo, join(demo.home, 'cold'));
    expect(cold.hash).toBe(first.hash);
  });
});
