import { describe, expect, test } from 'vitest';
import { conversion, GRAVITY, isUnit, lapTime, quantity, ucumFor } from '../src/units.ts';
import { readCheck, withReference } from './reference/folder.ts';

withReference('units that occur in logs (UCUM essence table, NIST SP 811)', () => {
  const { cases, tolerance } = readCheck<{ from: string; to: string; value: number }, { value: number }>(
    'g-formats/units.json',
  );
  test.each(cases.map((c) => [`${c.in.value} ${c.in.from} is ${c.out.value} ${c.in.to}`, c] as const))('%s', (_, c) => {
    const change = conversion(c.in.from, c.in.to);
    expect(change).not.toBeNull();
    const value = c.in.value * change!.factor + change!.offset;
    const error = Math.abs(value - c.out.value);
    // Relative to 1 where the result is zero (32 degF).
    expect(error).toBeLessThanOrEqual(tolerance['rel']! * Math.max(1, Math.abs(c.out.value)));
  });
});

describe('units', () => {
  test('another dimension, or no unit at all, is null', () => {
    expect(conversion('km/h', 'm')).toBeNull();
    expect(conversion('furlongs per fortnight', 'm/s')).toBeNull();
    expect(conversion('rpm', 'Hz')).toBeNull();
  });

  test('standard gravity is that of the third CGPM, 1901', () => {
    expect(GRAVITY).toBe(9.80665);
    expect(conversion('[g]', 'm/s2')?.factor).toBeCloseTo(9.80665, 12);
  });

  test('what loggers write is a unit, and a UCUM code is suggested for it that converts', () => {
    for (const [written, inside] of [
      ['rpm', 'Hz'],
      ['kph', 'm/s'],
      ['mph', 'm/s'],
      ['kt', 'm/s'],
      ['Nm', 'N.m'],
      ['m/s^2', 'm/s2'],
      ['psi', 'Pa'],
      ['g', 'm/s2'],
      ['°', 'rad'],
      ['°C', 'K'],
    ] as const) {
      expect(isUnit(written)).toBe(true);
      expect(conversion(ucumFor(written)!, inside)).not.toBeNull();
    }
    expect(isUnit('time')).toBe(false);
    expect(ucumFor('furlong')).toBeNull();
  });

  test('a quantity is a number with its unit', () => {
    expect(quantity('40 ms', 's')).toBeCloseTo(0.04, 15);
    expect(quantity('60 km/h', 'm/s')).toBeCloseTo(60 / 3.6, 12);
    expect(quantity('-3.2m', 'm')).toBeCloseTo(-3.2, 12);
    expect(quantity('1e-2 s', 's')).toBeCloseTo(0.01, 15);
    expect(quantity('40', 's')).toBeNull();
    expect(quantity('40 m', 's')).toBeNull();
    expect(quantity('forty ms', 's')).toBeNull();
    expect(quantity('', 's')).toBeNull();
  });

  test('a lap time is read as officials print it', () => {
    expect(lapTime('1:32.412')).toBeCloseTo(92.412, 12);
    expect(lapTime('92.412')).toBeCloseTo(92.412, 12);
    expect(lapTime('1:01:32.4')).toBeCloseTo(3692.4, 12);
    expect(lapTime('1:75.0')).toBeNull();
    expect(lapTime('1:32,412')).toBeNull();
    expect(lapTime('fast')).toBeNull();
  });
});
