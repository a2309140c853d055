import { describe, expect, test } from 'vitest';
import { Cursor, placeAt } from '../../src/pages/_script/cursor.ts';

const track = {
  lengthM: 1200.4,
  places: [
    [0, 'towards corner 1'],
    [280, 'corner 1'],
    [330, 'towards corner 2'],
  ] as const,
  corners: [
    ['1', 300],
    ['2', 500],
    ['10', 900],
    ['Hairpin', 1100],
  ] as const,
};

describe('a cursor along a lap', () => {
  test('goes to whole metres within the lap, by the decimetre on a model circuit', () => {
    const cursor = new Cursor(track);
    cursor.move(12.4);
    expect(cursor.stationM).toBe(12);
    cursor.move(-3);
    expect(cursor.stationM).toBe(0);
    cursor.move(5000);
    expect(cursor.stationM).toBe(1200);
    const model = new Cursor({ ...track, lengthM: 18 });
    model.move(3.14);
    expect(model.stationM).toBe(3.1);
  });

  test('begins at the gate, forwards or backwards', () => {
    const forwards = new Cursor(track);
    forwards.key('ArrowRight', false, 0);
    expect(forwards.stationM).toBe(0);
    const backwards = new Cursor(track);
    backwards.key('ArrowLeft', false, 0);
    expect(backwards.stationM).toBe(1200);
  });

  test('finds a corner by number, of two digits when they follow quickly', () => {
    const cursor = new Cursor(track);
    cursor.key('1', false, 1000);
    expect(cursor.stationM).toBe(300);
    cursor.key('0', false, 1400);
    expect(cursor.stationM).toBe(900);
    cursor.key('1', false, 5000);
    cursor.key('2', false, 5100);
    expect(cursor.stationM).toBe(500);
    cursor.key('7', false, 9000);
    expect(cursor.stationM).toBe(500);
  });

  test('turns from corner to corner and stays at the last', () => {
    const cursor = new Cursor(track);
    const seen = [1, 2, 3, 4, 5].map(() => {
      cursor.key('.', false, 0);
      return cursor.stationM;
    });
    expect(seen).toEqual([300, 500, 900, 1100, 1100]);
    cursor.key(',', false, 0);
    expect(cursor.stationM).toBe(900);
  });

  test('tells its followers of changes alone', () => {
    const cursor = new Cursor(track);
    let told = 0;
    cursor.follow(() => (told += 1));
    cursor.move(5);
    cursor.move(5.2);
    cursor.move(6);
    cursor.move(null);
    cursor.move(null);
    expect(told).toBe(3);
  });

  test('leaves keys alone that stand for nothing, and Escape where there is nothing to clear', () => {
    const cursor = new Cursor(track);
    expect(['a', 'Tab', 'Enter', 'Escape'].map((key) => cursor.key(key, false, 0))).toEqual([
      false,
      false,
      false,
      false,
    ]);
  });
});

test('a place is named by the last that began', () => {
  expect([0, 279, 280, 400].map((s) => placeAt(track, s))).toEqual([
    'towards corner 1',
    'towards corner 1',
    'corner 1',
    'towards corner 2',
  ]);
  expect(placeAt({ ...track, places: [] }, 5)).toBe('');
});
