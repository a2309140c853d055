import { expect, test } from 'vitest';
import { weekNamed, weekOf } from '../../src/read/isoWeek.ts';
import { readWeekFile } from '../../src/read/weekFile.ts';
import { readCheck, withReference } from '../reference/folder.ts';

// Source: ISO 8601-1:2019, 4.3, cases of the reference check g-formats/iso-week (COMPUTED, agreed on by two other programs).
withReference('weeks of ISO 8601', () => {
  const { cases } = readCheck<Record<string, string>, Record<string, string>>('g-formats/iso-week.json');

  test('every day falls into its week, and the week begins on its Monday', () => {
    const days = cases.filter(({ in: given }) => 'date' in given);
    expect(days.length).toBeGreaterThan(20);
    for (const { in: given, out } of days) {
      const week = weekOf(given['date']!);
      expect(week.name, given['date']).toBe(out['week_date']!.slice(0, 8));
      expect(week.monday, given['date']).toBe(out['monday']);
    }
  });
});

// By the calendar: 1 January 2026 is a Thursday, so 2026 has 53 weeks; 2025 has 52.
test('a year has a week 53 or it has not', () => {
  expect(weekNamed('2026-W53')).toMatchObject({ monday: '2026-12-28', sunday: '2027-01-03' });
  expect(weekNamed('2025-W53')).toBeNull();
  expect(weekNamed('2026-W00')).toBeNull();
  expect(weekNamed('2026-W1')).toBeNull();
});

test('a note knows on which line its text and each of what comes next stand', () => {
  const { week, problems } = readWeekFile(
    '---\ntitle: A week\nnext:\n  - First\n  - Second\n---\n\nText.\n',
    'weeks/2026-W11.md',
  );
  expect(problems).toEqual([]);
  expect(week).toMatchObject({
    week: '2026-W11',
    file: 'weeks/2026-W11.md',
    title: 'A week',
    text: 'Text.',
    line: 8,
    next: [
      { text: 'First', line: 4 },
      { text: 'Second', line: 5 },
    ],
  });
});

test('without front matter the whole file is the note', () => {
  expect(readWeekFile('\n\nText\n', 'weeks/2026-W11.md').week).toMatchObject({ text: 'Text', line: 3, title: null });
});

test('a name that is no week is said, with the week of the day that it may be', () => {
  expect(readWeekFile('x', 'weeks/2025-W53.md').problems[0]).toMatchObject({ code: 'VALUE_INVALID', severity: 'stop' });
  expect(readWeekFile('x', 'weeks/2026-03-17.md').problems[0]?.remedy).toContain('2026-W12');
});

test('an unknown key is said with the one it may be, and the note is read', () => {
  const { week, problems } = readWeekFile('---\ntitel: A\n---\nText\n', 'weeks/2026-W11.md');
  expect(problems[0]).toMatchObject({ code: 'KEY_UNKNOWN', place: { line: 2 }, remedy: 'perhaps `title`' });
  expect(week?.text).toBe('Text');
});
