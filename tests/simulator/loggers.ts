import type { Rows } from './sense.ts';

/** One column of a log: which channel it shows, in which unit and how exactly. */
interface Column {
  readonly heading: string;
  readonly channel: string;
  /** Value in the file for a value inside. */
  readonly show: (value: number) => number;
  readonly digits: number;
  /** What the session file must say of it, where the heading is not one of ours. */
  readonly mapped?: { readonly unit: string; readonly negate?: true };
}

/** A logger's columns, and how it writes them down. */
export interface Logger {
  readonly columns: readonly Column[];
  readonly separator: ',' | ';';
  readonly decimal: '.' | ',';
}

const DEG = 180 / Math.PI;
const plain = (value: number) => value;
const column = (heading: string, channel: string, digits: number, show = plain): Column => ({
  heading,
  channel,
  show,
  digits,
});

/** The robot's own logger: headings are ours, units stand behind them. Without a receiver's quality off the track. */
export function robotLogger(stage: 'simulation' | 'bench' | 'track'): Logger {
  const degrees = (value: number) => value * DEG;
  const percent = (value: number) => value * 100;
  const bar = (value: number) => value / 1e5;
  const all = [
    column('time [s]', 'time', 2),
    column('lat [deg]', 'lat', 8),
    column('lon [deg]', 'lon', 8),
    column('alt [m]', 'alt', 2),
    column('speed [m/s]', 'speed', 2),
    column('acc_long [m/s2]', 'acc_long', 2),
    column('acc_lat [m/s2]', 'acc_lat', 2),
    column('roll [deg]', 'roll', 1, degrees),
    column('yaw_rate [deg/s]', 'yaw_rate', 1, degrees),
    column('throttle [%]', 'throttle', 0, percent),
    column('throttle_cmd [%]', 'throttle_cmd', 0, percent),
    column('brake_front [bar]', 'brake_front', 1, bar),
    column('brake_front_cmd [bar]', 'brake_front_cmd', 1, bar),
    column('clutch [%]', 'clutch', 0, percent),
    column('gear', 'gear', 0),
    column('steer_torque [N.m]', 'steer_torque', 1),
    column('target_speed [m/s]', 'target_speed', 2),
    column('target_offset [m]', 'target_offset', 2),
  ];
  const more = [column('mode', 'mode', 0), column('position_sigma [m]', 'position_sigma', 2)];
  return { columns: stage === 'track' ? [...all, ...more] : all, separator: ',', decimal: '.' };
}

/** The logger on the reference rider's machine: other names, other units, two signs the other way round, body axes, commas in numbers. */
export function riderLogger(): Logger {
  const own = (
    heading: string,
    channel: string,
    digits: number,
    unit: string,
    show = plain,
    negate?: true,
  ): Column => ({
    ...column(heading, channel, digits, show),
    mapped: negate ? { unit, negate } : { unit },
  });
  const G = 9.80665;
  const columns = [
    own('Elapsed', 'time', 2, 's'),
    own('Latitude', 'lat', 8, 'deg'),
    own('Longitude', 'lon', 8, 'deg'),
    own('Height', 'alt', 2, 'm'),
    own('Ground speed', 'speed', 2, 'km/h', (v) => v * 3.6),
    own('Push ahead', 'acc_long', 3, '[g]', (v) => v / G),
    own('Push left', 'acc_lat', 3, '[g]', (v) => v / G),
    own('Push up', 'acc_vert', 3, '[g]', (v) => v / G),
    own('Lean to left', 'roll', 1, 'deg', (v) => -v * DEG, true),
    own('Nose up', 'pitch', 1, 'deg', (v) => -v * DEG, true),
    own('Turn rate', 'yaw_rate', 1, 'deg/s', (v) => v * DEG),
    own('Twist grip', 'throttle', 0, '%', (v) => v * 100),
    own('Front lever', 'brake_front', 1, 'bar', (v) => v / 1e5),
    own('Clutch lever', 'clutch', 0, '%', (v) => v * 100),
    own('Cog', 'gear', 0, '1'),
    own('Crank', 'engine_speed', 0, 'circ/min', (v) => (v * 60) / (2 * Math.PI)),
  ];
  return { columns, separator: ';', decimal: ',' };
}

/** Fixed digits without a negative zero and without zeros at the end of small whole numbers. */
function text(value: number, digits: number): string {
  const fixed = value.toFixed(digits);
  return Number(fixed) === 0 ? '0' : fixed;
}

/** A log as CSV: rows of plain cells, line feeds. */
export function csv(logger: Logger, rows: Rows): string {
  const { separator, decimal } = logger;
  const columns = logger.columns.map((c) => {
    const values = rows[c.channel];
    if (!values) throw new Error(`the run has no channel ${c.channel}`);
    return { ...c, values };
  });
  const cell = (value: number, digits: number) =>
    decimal === '.' ? text(value, digits) : text(value, digits).replace('.', decimal);
  const lines = [columns.map((c) => c.heading).join(separator)];
  for (let i = 0; i < columns[0]!.values.length; i++)
    lines.push(columns.map((c) => cell(c.show(c.values[i]!), c.digits)).join(separator));
  return `${lines.join('\n')}\n`;
}
