import { expect, test } from 'vitest';
import { markdown } from '../../src/report/notes/markdown.ts';

test('raw HTML of a note does not get onto the page', () => {
  const html = markdown(
    'before <script>alert(1)</script> <b onclick="x()">bold</b>\n\n<iframe src="x"></iframe>\n\nafter',
  );
  expect(html).not.toMatch(/<script|<iframe|onclick|<b/);
  expect(html).toContain('before');
  expect(html).toContain('after');
});

test('addresses that could run something and pictures are dropped', () => {
  const html = markdown('[a](javascript:alert(1)) [b](https://example.org/) ![c](https://example.org/c.png)');
  expect(html).not.toMatch(/javascript:|<img/);
  expect(html).toContain('href="https://example.org/"');
});

test('lap times and single tildes stay as they were written', () => {
  expect(markdown('1:32.5 after ~5 laps, ~6 more')).toBe('<p>1:32.5 after ~5 laps, ~6 more</p>');
});

test('headings of a note stand below those of the page', () => {
  expect(markdown('# One\n\n## Two')).toBe('<h3>One</h3>\n<h4>Two</h4>');
});

test('tables are tables', () => expect(markdown('| a | b |\n|---|---|\n| 1 | 2 |')).toContain('<table>'));
