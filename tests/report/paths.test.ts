import { describe, expect, test } from 'vitest';
import { cornerPath, lapSlug, relative, slug } from '../../src/report/paths.ts';

// Relative references are those of RFC 3986, section 5: resolving one against the page gives the target back.
describe('references', () => {
  test.each([
    ['index.html', 'sessions/a.html'],
    ['sessions/a.html', 'index.html'],
    ['laps/a/b.html', 'laps/a/c.html'],
    ['laps/a/b.html', 'corners/x/3.html#top'],
    ['laps/a/b.html', 'laps/z/é ü.html'],
    ['problems.html', 'problems.html'],
  ])('from %s to %s resolve to their target', (from, to) => {
    const resolved = new URL(relative(from, to), new URL(from, 'file:///site/'));
    expect(decodeURIComponent(resolved.pathname + resolved.hash)).toBe(`/site/${to}`);
  });
  test('stay on the page for an anchor alone', () => expect(relative('a/b.html', '#x')).toBe('#x'));
});

describe('names in addresses', () => {
  test('keep letters and digits of any script', () => {
    expect(slug('2026-05-24 ünïcode эталон')).toBe('2026-05-24-ünïcode-эталон');
    expect(slug('../..')).toBe('x');
  });
  test('drop the folder’s slash and the extension of a run', () => {
    expect(lapSlug('run-01.csv', 3)).toBe('run-01-lap-3');
    expect(lapSlug('morning/run 01.csv.gz', 0)).toBe('morning-run-01-lap-0');
  });
  test('of corners are below their circuit', () =>
    expect(cornerPath('old mill', 'A/B')).toBe('corners/old-mill/A-B.html'));
});
