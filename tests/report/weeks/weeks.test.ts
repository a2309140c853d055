import { XMLParser, XMLValidator } from 'fast-xml-parser';
import { beforeAll, describe, expect, test } from 'vitest';
import { directivesReport } from '../../../src/report/directives.ts';
import { claimsOf, noteProblems } from '../../../src/report/notes/checkedNotes.ts';
import type { Results } from '../../../src/report/readResults.ts';
import { changeOf } from '../../../src/report/weeks/change.ts';
import { feedOf } from '../../../src/report/weeks/feed.ts';
import { weekScaffold } from '../../../src/report/weeks/scaffold.ts';
import { weekReport } from '../../../src/report/weeks/weekReport.ts';
import { analysed, ovalFiles } from '../notes/ovalCampaign.ts';

let results: Results;
beforeAll(async () => {
  results = await analysed(ovalFiles());
});

describe('a week', () => {
  test('says what was run, the gap, and the change since the week before', () => {
    const report = weekReport(results, '2026-W04');
    const [before, now] = [results.sessions[1]!.summary!.medianGapS!, results.sessions[2]!.summary!.medianGapS!];
    expect(report.headline).toBe(
      `${now.toFixed(2)}\u202fs behind, ${(before - now).toFixed(2)}\u202fs less than in 2026-W03`,
    );
    expect(report.sessions.rows.map((row) => row[0]!.text)).toEqual(['2026-01-20-second']);
    expect(report.before?.text).toBe('2026-W03');
    expect(report.after).toBeNull();
    expect(report.parts?.rows.map((row) => row[0]!.text)).toEqual(['whole lap', 'braking', 'apex', 'drive']);
  });

  test('the first week of a stage has nothing to be compared with', () => {
    const report = weekReport(results, '2026-W03');
    expect(report.headline).toMatch(/behind$/);
    expect(report.changes).toBeNull();
  });

  test('a week with the reference rider alone compares nothing', () => {
    expect(weekReport(results, '2026-W02').headline).toBe('1 session, none compared');
  });

  test('a week of the year’s turn and a week without a session have pages', async () => {
    const more = await analysed({ ...ovalFiles(), 'c/weeks/2025-W52.md': 'Nothing but plans.\n' });
    expect(weekReport(more, '2025-W52').headline).toBe('Nothing was run');
    expect(weekReport(more, '2025-W52').notes).toHaveLength(1);
  });
});

describe('change', () => {
  const lap = (gapS: number) =>
    ({
      ledger: [
        { corner: '1', phase: 'apex', gapS },
        { corner: '2', phase: 'drive', gapS: 1 },
      ],
    }) as never;

  // Medians of 1, 2, 4 and of 1, 2 by hand: 2 and 1.5.
  test('is the difference of medians over the laps', () => {
    expect(changeOf([lap(1), lap(4), lap(2)], [lap(2), lap(1)], { corner: '1' })).toMatchObject({
      before: 2,
      now: 1.5,
      changeS: -0.5,
    });
    expect(changeOf([lap(1)], [lap(1)], { corner: '3' })).toBeNull();
    expect(changeOf([lap(1)], [lap(2)], {})).toMatchObject({ before: 2, now: 3, changeS: 1 });
  });
});

describe('the first note of a week', () => {
  test.each(['2026-W03', '2026-W04'])('of %s has claims that hold, and all are confirmed', async (week) => {
    const text = weekScaffold(results, week);
    const again = await analysed({ ...ovalFiles(), [`c/weeks/${week}.md`]: text });
    expect(claimsOf(again).length).toBeGreaterThan(2);
    expect(noteProblems(again)).toEqual([]);
    expect(again.campaign.weeks[0]).toMatchObject({ title: 'What the week was about', next: [{ line: 4 }] });
  });

  test('of a week without laps that compare has none', () => {
    expect(weekScaffold(results, '2026-W02')).not.toContain(':claim');
    expect(weekScaffold(results, '2026-W40')).toContain('Nothing was run.');
  });
});

// Source: RFC 4287, sections 4.1.1 and 4.1.2: what a feed and an entry must have.
describe('the feed', () => {
  test('is there only where the address of the site is known', async () => {
    expect(feedOf(results)).toBeNull();
    const campaign = ovalFiles()['c/campaign.md']!.replace(
      'title: Oval',
      'title: "Oval & <more>"\nsite: https://example.org/report/',
    );
    const feed = feedOf(
      await analysed({ ...ovalFiles(), 'c/campaign.md': campaign, 'c/weeks/2026-W04.md': '---\ntitle: A < B\n---\n' }),
    )!;
    expect(XMLValidator.validate(feed)).toBe(true);
    const { feed: read } = new XMLParser({ ignoreAttributes: false }).parse(feed);
    expect(read.title).toBe('Oval & <more>');
    expect(read.id).toBe('https://example.org/report/index.html');
    expect(read.updated).toBe('2026-01-20T23:59:59Z');
    expect(read.author.name).toBeTruthy();
    expect(read.entry.map((e: { id: string }) => e.id)).toEqual(
      ['2026-W04', '2026-W03', '2026-W02'].map((week) => `https://example.org/report/weeks/${week}.html`),
    );
    expect(read.entry[0].title).toBe('2026-W04: A < B');
    for (const entry of read.entry)
      for (const key of ['id', 'title', 'updated', 'summary', 'link']) expect(entry[key]).toBeTruthy();
  });
});

describe('the reference of directives', () => {
  test('every example is alive and without a mistake', () => {
    const { directives, quantities } = directivesReport(results);
    expect(directives.length).toBeGreaterThan(8);
    // Every quantity gives something, or says that there is nothing.
    for (const row of quantities.rows) {
      expect(row.at(-1)!.text, row[0]!.text).not.toBe('');
      expect(row.at(-1)!.text, row[0]!.text).not.toContain(':value');
    }
    for (const entry of directives) {
      expect(entry.live, entry.name).not.toBeNull();
      const html = entry.live!.map((part) => ('html' in part ? part.html : '')).join('');
      expect(html, entry.name).not.toContain('fault');
      expect(
        entry.live!.some((part) => 'missing' in part),
        entry.name,
      ).toBe(false);
    }
  });

  test('without any session it still shows how each is written', async () => {
    const { 'c/campaign.md': campaign } = ovalFiles();
    const empty = await analysed({ 'c/campaign.md': campaign! });
    for (const entry of directivesReport(empty).directives) expect(entry.live).toBeNull();
  });
});
