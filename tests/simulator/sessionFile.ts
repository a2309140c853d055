import type { Logger } from './loggers.ts';
import type { Ridden } from './ride.ts';
import type { Day, DayRun } from './scenario.ts';

/** A value as YAML would read it back as text. */
const quoted = (value: string): string =>
  /^[a-z][a-z ,-]*$/i.test(value) && !value.includes(', ') ? value : JSON.stringify(value);

const flow = (entries: readonly (readonly [string, string])[]): string =>
  `{ ${entries.map(([key, value]) => `${key}: ${value}`).join(', ')} }`;

/** A lap time as timing prints it, to the millisecond. */
function printed(timeS: number): string {
  const ms = Math.round(timeS * 1000);
  return `${Math.floor(ms / 60000)}:${String(Math.floor((ms % 60000) / 1000)).padStart(2, '0')}.${String(ms % 1000).padStart(3, '0')}`;
}

/** session.md of a day: front matter that a user would have written, and the day's notes. */
export function sessionFile(
  day: Day,
  circuit: string,
  logger: Logger,
  ridden: readonly { run: DayRun; ride: Ridden }[],
): string {
  const lines = [
    '---',
    `date: ${day.id.slice(0, 10)}`,
    `stage: ${day.stage}`,
    `circuit: ${circuit}`,
    `rider: ${day.software ? 'robot' : 'reference'}`,
    `controller: ${day.controller === null ? 'null' : JSON.stringify(day.controller)}`,
    `configuration: ${flow(Object.entries(day.configuration).map(([key, value]) => [key, quoted(value)]))}`,
  ];
  const { axes, antenna = [0, 0, 0], latencyS = 0 } = day.runs[0]!.sensors;
  // A logger that does not write its position's sigma has a data sheet that does; a model knows where it is.
  const sheet = { simulation: '', bench: ', sigma: "0.001 m"', track: ', sigma: "0.03 m"' }[day.stage];
  const sigma = logger.columns.some((c) => c.channel === 'position_sigma') ? '' : sheet;
  lines.push(`axes: ${axes ?? 'level'}`);
  lines.push(
    `position: { antenna: [${antenna.join(', ')}], latency: "${Math.round(latencyS * 1000)} ms", shift: [0, 0]${sigma} }`,
  );
  const mapped = logger.columns.filter((c) => c.mapped);
  if (mapped.length > 0) {
    lines.push('columns:');
    for (const c of mapped)
      lines.push(
        `  ${c.channel}: ${flow([['from', c.heading], ['unit', JSON.stringify(c.mapped!.unit)], ...(c.mapped!.negate ? [['negate', 'true'] as const] : [])])}`,
      );
  }
  if (day.emulated) lines.push(`emulated: [${day.emulated.join(', ')}]`);
  lines.push('runs:');
  for (const { run, ride } of ridden) {
    lines.push(`  - file: ${run.file}`, '    kind: laps');
    if (run.cured)
      lines.push(
        `    configuration: ${flow(Object.entries(run.cured.configuration).map(([key, value]) => [key, quoted(value)]))}`,
      );
    if (run.capKmh !== undefined) lines.push(`    limits: { speed: "${run.capKmh} km/h" }`);
    if (run.intervention) {
      const time = ride.timeAtStation(run.intervention.lap, run.intervention.takenM);
      lines.push(
        '    incidents:',
        `      - { time: ${time.toFixed(1)}, kind: intervention, severity: 1, closed: true }`,
      );
    }
    if (run.official) {
      const laps = Object.entries(run.official).map(
        ([lap, ms]) => `${lap}: "${printed(ride.lapTimesS[Number(lap) - 1]! + ms / 1000)}"`,
      );
      lines.push(`    official: { ${laps.join(', ')} }`);
    }
  }
  lines.push(`conditions: ${flow(Object.entries(day.conditions).map(([key, value]) => [key, quoted(value)]))}`);
  const excluded = ridden.flatMap(({ run }) =>
    run.spoilt
      ? [`  - { run: ${run.file}, lap: ${run.spoilt.lap}, exclude: ${JSON.stringify(run.spoilt.reason)} }`]
      : [],
  );
  if (excluded.length > 0) lines.push('laps:', ...excluded);
  if (day.accept)
    lines.push(`accept: ${flow(Object.entries(day.accept).map(([code, reason]) => [code, JSON.stringify(reason)]))}`);
  lines.push('---');
  return `${lines.join('\n')}\n${day.notes}\n`;
}
