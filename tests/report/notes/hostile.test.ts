import { performance } from 'node:perf_hooks';
import fc from 'fast-check';
import { beforeAll, describe, expect, test } from 'vitest';
import { MOST_CHARACTERS, setNote } from '../../../src/report/notes/setNote.ts';
import type { Results } from '../../../src/report/readResults.ts';
import { analysed, ovalFiles } from './ovalCampaign.ts';

// Expected: nothing that a browser runs or loads comes out of a note, whatever is in it, and it comes out in time.

/** Seconds that a note may take here, on two cores that others use as well. */
const PATIENCE_S = 20;

let results: Results;
beforeAll(async () => {
  results = await analysed(ovalFiles());
});

const set = (text: string) =>
  setNote(
    {
      file: 'note.md',
      line: 1,
      text,
      page: 'index.html',
      id: 'x',
      title: '',
      session: results.sessions[1]!,
      body: true,
    },
    results,
  );
const html = (text: string): string =>
  set(text)
    .blocks.map((block) => ('html' in block ? block.html : ''))
    .join('');

/** Tags and attributes of markup, which is well formed, so that text with angle brackets is not taken for one. */
function harmless(markup: string): void {
  const tags = [...markup.matchAll(/<([a-zA-Z][\w-]*)((?:\s+[\w:-]+(?:="[^"]*")?)*)\s*\/?>/g)];
  for (const [, name, attributes] of tags) {
    expect(name).not.toMatch(
      /^(script|iframe|object|embed|style|link|meta|base|form|button|img|svg|math|video|audio|source)$/i,
    );
    expect(attributes).not.toMatch(/\s(on\w+|style|srcdoc|formaction)=/i);
    for (const [, address = ''] of attributes!.matchAll(/(?:href|src)="([^"]*)"/g))
      expect(address.replace(/&#x[0-9a-f]+;|[^!-~]/gi, '')).not.toMatch(/^(javascript|data|vbscript|file):/i);
  }
}

describe('hostile notes', () => {
  test.each([
    '<script>alert(1)</script>',
    '<img src=x onerror=alert(1)>',
    '<svg onload=alert(1)>',
    '<iframe srcdoc="<script>alert(1)</script>"></iframe>',
    '<style>body{display:none}</style>',
    '<base href="https://example.org/">',
    '<a href="javascript:alert(1)">x</a>',
    '[x](javascript:alert(1)) [x](JaVaScRiPt:alert(1)) [x](java&#10;script:alert(1)) [x](data:text/html,<script>)',
    '<javascript:alert(1)>',
    '![x](javascript:alert(1)) ![x](https://example.org/x.png)',
    '[x]: javascript:alert(1)\n\n[x]',
    'x[^1]\n\n[^1]: <script>alert(1)</script> [y](vbscript:x)',
    '| <script>x</script> | [a](javascript:b) |\n|-|-|\n',
    ':corner[<script>x</script>]{corner=1 onclick="alert(1)" href="javascript:x" style="x"}',
    ':corner[x]{#id .class corner=1}',
    ':value{gap unit="<script>"} :value{"><script>alert(1)</script>}',
    ':claim[<img src=x onerror=y>]{gap from="\\"><script>" to=1}',
    '::figure{skyline of="<script>alert(1)</script>"}',
    ':::aside{onclick=x}\n<script>x</script>\n:::',
    '<div data-part="0">x</div> <span data-part="0">:value{gap}</span>',
    '```html\n<script>alert(1)</script>\n```',
    '``` "onmouseover=alert(1) x="\ncode\n```',
  ])('%s is harmless', (text) => harmless(html(text)));

  test('random pieces of markup put together are harmless', () => {
    const piece = fc.constantFrom(
      '<script>',
      '</script>',
      '<img ',
      'onerror=x',
      '>',
      '"',
      "'",
      '[a](',
      ')',
      'javascript:x',
      '`',
      '\n',
      '\n\n',
      ':claim[',
      ']',
      '{',
      '}',
      'gap ',
      'from=0',
      ':::aside\n',
      ':::\n',
      '::figure',
      '> ',
      '- ',
      '*',
      '&#106;avascript:',
      '<!--',
      '-->',
      '[^1]',
      '[^1]: ',
      '|',
      'a',
    );
    fc.assert(
      fc.property(fc.array(piece, { maxLength: 40 }), (pieces) => harmless(html(pieces.join('')))),
      { numRuns: 300, seed: 7 },
    );
  });

  const long = (unit: string): string =>
    unit.repeat(Math.ceil(MOST_CHARACTERS / unit.length)).slice(0, MOST_CHARACTERS);
  test.each([
    ['quotes within quotes', '>'.repeat(20_000)],
    ['lists within lists', '- '.repeat(10_000)],
    ['indented lists', Array.from({ length: 200 }, (_, i) => `${'  '.repeat(i)}- a`).join('\n')],
    ['brackets that open', long('[')],
    ['links that open', long('[a](')],
    ['emphasis that opens', long('*a **b _c ')],
    ['backticks', long('` `` ')],
    ['directives that open', long(':claim[')],
    ['side notes within side notes', long(':::aside\n')],
    ['quotes and lines in turn', long('>a\nb\n')],
    ['footnotes', long('[^1] ')],
    ['tables', `|a|b|\n|-|-|\n${'|a|b|\n'.repeat(1900)}`],
    ['many claims', long(':claim[x]{gap from=0} ')],
    ['a line without end', long('a')],
  ])('%s are set in time', (_, text) => {
    const begin = performance.now();
    harmless(html(text));
    expect((performance.now() - begin) / 1000).toBeLessThan(PATIENCE_S);
  });

  test('10 MB are refused with the reason, and the beginning is shown as it was written', () => {
    const begin = performance.now();
    const { problems, blocks } = set('<script>x</script> [a](javascript:b) '.repeat(280_000));
    expect(performance.now() - begin).toBeLessThan(2000);
    expect(problems).toMatchObject([
      { code: 'NOTE_UNREADABLE', severity: 'stop', place: { file: 'note.md', line: 1 } },
    ]);
    const [block] = blocks;
    expect(block && 'html' in block && block.html).toMatch(/^<pre>&#x3C;script>x/);
    expect(JSON.stringify(blocks).length).toBeLessThan(10_000);
  });
});
