import { describe, expect, test } from 'vitest';
import { traceOf } from '../../src/laps/trace.ts';
import { rounded } from '../align/courses.ts';
import { type Log, logOf, recordingOf, type SetupKeys, setupOf, without } from '../align/laidLog.ts';
import { simulated } from '../align/simulated.ts';

// Truth: the same ride measured by a logger whose axes are level.

const course = rounded();
const level = logOf(simulated(course, { axes: 'level' }));
const body = logOf(simulated(course, { axes: 'body' }));
const trace = (log: Log, keys: SetupKeys = {}) => traceOf(recordingOf(log), setupOf(keys), null, null);

describe('accelerations and yaw rate in the axes of the machine', () => {
  test('are levelled by roll and pitch before any use', () => {
    const { trace: found } = trace(body, { axes: 'body' });
    for (const name of ['acc_long', 'acc_lat', 'acc_vert'] as const)
      found!.channel(name)!.forEach((v, i) => void expect(Math.abs(v - level.rows[name]![i]!)).toBeLessThan(1e-9));
    // The yaw rate by roll alone: pitching while leant, at most 0.1 rad/s here, is left in it.
    const yaw = found!.channel('yaw_rate')!;
    const off = yaw.map((v, i) => Math.abs(v - level.rows['yaw_rate']![i]!)).sort();
    expect(off[Math.floor(0.95 * off.length)]).toBeLessThan(0.03);
    const raw = body.rows['yaw_rate']!.map((v, i) => Math.abs(v - level.rows['yaw_rate']![i]!)).sort();
    expect(raw[Math.floor(0.95 * raw.length)]).toBeGreaterThan(0.2);
  });

  test('are not used where nobody said which axes they are in, or the lean is missing; the first is said', () => {
    const unsaid = trace(body, { axes: null });
    expect(unsaid.trace!.channel('acc_lat')).toBeNull();
    expect(unsaid.problems.map(({ code }) => code)).toContain('AXES_UNKNOWN');
    expect(trace(without(body, 'roll'), { axes: 'body' }).trace!.channel('acc_lat')).toBeNull();
  });

  test('in level axes are left as they are', () => {
    expect(trace(level).trace!.channel('acc_lat')).toEqual(level.rows['acc_lat']);
  });
});

describe('positions', () => {
  test('that are too few are refused, saying how many there were', () => {
    const stuck = {
      ...level,
      rows: { ...level.rows, east: level.rows['east']!.map(() => 1), north: level.rows['north']!.map(() => 2) },
    };
    const { trace: none, problems } = trace(stuck);
    expect(none).toBeNull();
    expect(problems.at(-1)).toMatchObject({
      code: 'CHANNEL_MISSING',
      severity: 'stop',
      found: '1 different position(s) in the whole log',
    });
  });

  test('whose uncertainty is logged have it, a zero of it being no uncertainty at all', () => {
    const sigma = level.rows['east']!.map((_, i) => (i % 10 === 0 ? 0 : 0.03));
    const { trace: found } = trace(
      { ...level, rows: { ...level.rows, position_sigma: sigma } },
      { position: { sigmaM: null } },
    );
    expect(new Set(found!.fixes.sigmaM)).toEqual(new Set([0.03]));
    expect(found!.quality).toMatchObject({ sigmaM: 0.03, sigmaFrom: 'log' });
  });

  test('of an antenna that nobody measured carry a metre of doubt, and a warning', () => {
    const { trace: found, problems } = trace(level, { position: { antennaM: null } });
    expect(found!.quality.shiftSigmaM).toBe(1);
    expect(problems.find(({ code }) => code === 'ANTENNA_UNKNOWN')?.severity).toBe('warn');
  });
});
