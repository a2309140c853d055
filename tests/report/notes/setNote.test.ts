import { beforeAll, describe, expect, test } from 'vitest';
import type { LapResult } from '../../../src/campaign/results.ts';
import { setNote } from '../../../src/report/notes/setNote.ts';
import type { Results } from '../../../src/report/readResults.ts';
import { analysed, ovalFiles } from './ovalCampaign.ts';

let results: Results;
let laps: readonly LapResult[];
beforeAll(async () => {
  results = await analysed(ovalFiles());
  laps = results.sessions[2]!.runs[0]!.laps.filter((lap) => lap.counted);
});

const set = (text: string, page = 'weeks/2026-W04.html') =>
  setNote(
    {
      file: 'weeks/2026-W04.md',
      line: 7,
      text,
      page,
      id: 'notes',
      title: '',
      session: results.sessions[2]!,
      body: true,
    },
    results,
  );
const html = (text: string): string =>
  set(text)
    .blocks.map((block) => ('html' in block ? block.html : ''))
    .join('');
const words = (text: string): string => html(text).replace(/<[^>]+>/g, '');
const problem = (text: string) => set(text).problems[0];

describe('values', () => {
  // The reference rides two laps at the pace 1 and the robot at 0.95: its lap takes 1/0.95 of the time.
  test('a gap of a session is the median of its counted laps, in seconds to hundredths', () => {
    expect(laps.length).toBe(2);
    const reference = results.sessions[2]!.reference!.timeS;
    expect(words(':value{gap}')).toBe(`${(reference / 0.95 - reference).toFixed(2)}\u202fs`);
  });

  test('a gap of one lap has the digits that its uncertainty allows, and says it', () => {
    const lap = laps[0]!;
    const half = 1.645 * lap.sigmaS!;
    const digits = Math.min(3, Math.max(1, -Math.floor(Math.log10(half))));
    expect(words(`:value{gap of=2026-01-20-second/run-01.csv/${lap.lap}}`)).toBe(
      `${lap.gapS!.toFixed(digits)} ±\u202f${half.toFixed(digits)}\u202fs`,
    );
  });

  test('a difference has a sign, in the same unit', () => {
    expect(words(':value{gap against=2026-01-13-first}')).toMatch(/^−\d+\.\d\d\u202fs$/);
  });

  test('losses of all phases add up to the gap of a lap', () => {
    const of = `of=2026-01-20-second/run-01.csv/${laps[0]!.lap}`;
    const read = (query: string): number =>
      Number(
        words(`:value{${query} ${of} unit=ms}`)
          .replace(/[^\d.−±].*$|±.*$/g, '')
          .replace('−', '-'),
      );
    const sum = ['braking', 'apex', 'drive'].reduce((s, phase) => s + read(`loss phase=${phase}`), 0);
    expect(Math.abs(sum - read('gap'))).toBeLessThanOrEqual(3);
  });

  test('a unit may be another one; the digits go with it', () => {
    const kmh = Number(/^[\d.]+/.exec(words(':value{slowest corner=1}'))![0]);
    const mps = Number(/^[\d.]+/.exec(words(':value{slowest corner=1 unit=m/s}'))![0]);
    expect(mps).toBeCloseTo(kmh / 3.6, 1);
  });

  test('what the data do not hold is an en dash with the reason', () => {
    expect(html(':value{full-drive corner=1}')).toContain('title="none of 2 counted laps has such a value">–<');
  });

  test('a value inside a claim is there to be read', () => {
    expect(set(':claim[about :value{gap}]{gap from=0}').claims[0]?.text).toMatch(/^about \d/);
  });
});

describe('mistakes are said with line and what was meant, and stay as they were written', () => {
  test.each([
    [':value{loss corner=14}', 'no corner 14; this circuit has 1', ''],
    [':value{gap of=2026-01-20-secnd}', 'no session `2026-01-20-secnd`', 'perhaps `2026-01-20-second`'],
    [':value{gap of=2026-01-20-second/run-1.csv}', 'no run in 2026-01-20-second', 'perhaps `run-01.csv`'],
    [':value{gap of=2026-01-20-second/run-01.csv/9}', 'no lap `9` in 2026-01-20-second/run-01.csv', '0 is the out lap'],
    [':value{gpa}', 'no quantity `gpa`', 'perhaps `gap`'],
    [':value{of=latest}', '`value` without a quantity', '{gap …}'],
    [':value{gap frm=1}', 'the key `frm`', 'take one of these'],
    [':value{gap unit=kg}', '`unit=kg`', 'correct the unit'],
    [':value{loss phase=breaking}', '`phase=breaking`', 'perhaps `braking`'],
    [':value{gap of}', '`of` without a value', '`of=`'],
    [':claim[x]{gap}', 'a claim without a range', 'the value is'],
    [':claim[x]{gap from=2 to=1}', 'a range from 2 to 1', 'swap'],
    [':claim[x]{gap from=soon}', '`from=soon`', 'correct it'],
    [':claim[x]{controller from=1}', 'a range for a word', 'in place of the range'],
    [':claim[]{gap from=0}', 'a claim without words', ':claim['],
    [':lap[2026-01-20-second]', 'which is no lap', 'add the run'],
    [':week[2026-W60]', '`2026-W60`', 'correct the name'],
    ['::figure{skylin}', 'no figure `skylin`', 'perhaps `skyline`'],
    ['::compare{of=2026-01-20-second}', '`compare` without `against=`', 'add `against=…`'],
    ['- ::table{laps}', 'inside a list', 'move it out'],
    ['See :valeu{gap}.', '`:valeu`, which is left as text', 'perhaps `value`'],
    ['See :figure{skyline}.', '`:figure`, which is left as text', 'set it as expected'],
  ])('%s', (text, found, remedy) => {
    const all = set(`First line.\n\n${text}`);
    expect(all.problems).toHaveLength(1);
    expect(all.problems[0]).toMatchObject({ code: 'NOTE_DIRECTIVE', place: { file: 'weeks/2026-W04.md', line: 9 } });
    expect(all.problems[0]!.found).toContain(found);
    expect(all.problems[0]!.remedy).toContain(remedy);
    expect(words(`First line.\n\n${text}`).replaceAll('&#x26;', '&')).toContain(text.replace(/^- /, ''));
  });

  test('the right ones are no problem', () => {
    expect(
      problem(
        ':value{gap take=least} :value{loss corner=1 cell=exit} :corner[1] :lap[2026-01-20-second/run-01.csv/1] :week[2026-W04] :session[latest]\n\n::figure{skyline}\n\n::table{ledger}\n\n::compare{against=2026-01-13-first}\n\n:::aside\nside\n:::',
      ),
    ).toBeUndefined();
  });
});

describe('links and blocks', () => {
  test('links are relative to the page and carry the words given or their own', () => {
    expect(html(':corner[1] :corner[the *bend*]{corner=1} :session[2026-01-13-first]')).toBe(
      '<p><a href="../corners/oval/1.html">corner 1</a> <a href="../corners/oval/1.html">the <em>bend</em></a> <a href="../sessions/2026-01-13-first.html">2026-01-13-first</a></p>',
    );
  });

  test('figures and tables cut the note into blocks, in order', () => {
    const { blocks } = set('Before.\n\n::figure{skyline}\n\nBetween.\n\n::table{laps}');
    expect(blocks.map((block) => ('html' in block ? 'html' : block.wanted.name))).toEqual([
      'html',
      'skyline',
      'html',
      'laps',
    ]);
  });

  test('footnotes of two notes on a page have ids of their own', () => {
    const ids = (id: string): string[] =>
      setNote(
        { file: '', line: 1, text: 'a[^1]\n\n[^1]: b', page: 'x.html', id, title: '', session: null, body: true },
        results,
      ).blocks.flatMap((block) =>
        'html' in block ? [...block.html.matchAll(/ id="([^"]*)"/g)].map((m) => m[1]!) : [],
      );
    const [a, b] = [ids('about'), ids('notes')];
    expect(a.length).toBeGreaterThan(2);
    expect(a.filter((id) => b.includes(id))).toEqual([]);
  });
});

describe('claims', () => {
  test('hold at both ends of their range and not beyond', () => {
    const holds = (range: string): boolean => set(`:claim[x]{laps ${range}}`).claims[0]!.holds;
    // The log holds a piece before the gate, two laps, and a piece behind them.
    expect(results.sessions[2]!.runs[0]!.laps).toHaveLength(4);
    expect([holds('from=4 to=4'), holds('from=5'), holds('to=3'), holds('from=4'), holds('to=4')]).toEqual([
      true,
      false,
      false,
      true,
      true,
    ]);
  });

  test('ends of a range may have a unit or be a lap time', () => {
    const time = laps[0]!.timeS!;
    const of = `of=2026-01-20-second/run-01.csv/${laps[0]!.lap}`;
    const claims = set(
      `:claim[a]{time ${of} from=0:01 to=${(time / 60 + 1).toFixed(3)}} :claim[b]{gap ${of} from="1 ms" to="1 min"} :claim[c]{time ${of} to=0:00.5}`,
    ).claims;
    expect(claims.map((c) => c.holds)).toEqual([time <= time / 60 + 1, true, false]);
  });

  test('a word is compared as it is', () => {
    expect(set(':claim[x]{controller is=0.1.0} :claim[x]{controller is=0.1}').claims.map((c) => c.holds)).toEqual([
      true,
      false,
    ]);
  });
});
