import type { Problem } from '../problem.ts';

/** How a channel may be read between two samples. */
type Between = 'line' | 'step' | 'angle';

interface ChannelKind {
  /** UCUM unit inside; where two are given the first that converts is taken. */
  readonly units: readonly string[];
  readonly between: Between;
}

const line = (...units: string[]): ChannelKind => ({ units, between: 'line' });
const step = (...units: string[]): ChannelKind => ({ units, between: 'step' });
const angle = (unit: string): ChannelKind => ({ units: [unit], between: 'angle' });

/** The channels that have a meaning here; signs and axes as in ISO 8855, SI inside. */
export const CHANNELS = {
  time: line('s'),
  lat: line('deg'),
  lon: line('deg'),
  alt: line('m'),
  east: line('m'),
  north: line('m'),
  speed: line('m/s'),
  heading: angle('rad'),
  acc_long: line('m/s2'),
  acc_lat: line('m/s2'),
  acc_vert: line('m/s2'),
  roll: line('rad'),
  pitch: line('rad'),
  yaw_rate: line('rad/s'),
  est_east: line('m'),
  est_north: line('m'),
  est_lat: line('deg'),
  est_lon: line('deg'),
  mode: step('1'),
  fix: step('1'),
  throttle: line('1'),
  clutch: line('1'),
  brake_front: line('Pa', '1'),
  brake_rear: line('Pa', '1'),
  gear: step('1'),
  engine_speed: line('rad/s'),
  steer_angle: line('rad'),
  steer_torque: line('N.m'),
  wheel_speed_front: line('m/s'),
  wheel_speed_rear: line('m/s'),
  target_speed: line('m/s'),
  target_offset: line('m'),
  position_sigma: line('m'),
} as const satisfies Record<string, ChannelKind>;

type Measured = keyof typeof CHANNELS;
/** A channel, or the command to the actuator of one. */
export type ChannelName = Measured | `${Measured}_cmd`;

export function channelKind(name: string): ChannelKind | null {
  const measured = name.endsWith('_cmd') ? name.slice(0, -4) : name;
  return Object.hasOwn(CHANNELS, measured) ? CHANNELS[measured as Measured] : null;
}

/** Which column of the file became which channel. */
export interface MappedColumn {
  readonly name: ChannelName;
  readonly column: string;
  /** Unit in the file, as written or as the session file says. */
  readonly unit: string;
  /** Unit of the values here. */
  readonly inside: string;
}

/**
 * One log as read: raw rates, raw order, SI. Every row of the file is a row here; what could not be read is NaN and
 * stands in the problems.
 */
export interface Recording {
  readonly file: string;
  readonly sha256: string;
  readonly bytes: number;
  readonly rows: number;
  /** Seconds; NaN where the stamp is missing. For stamps of date and time: since `epochS`. */
  readonly timeS: Float64Array;
  /** Unix time of timeS = 0 where the log carries absolute stamps, else null. */
  readonly epochS: number | null;
  readonly channels: ReadonlyMap<ChannelName, Float64Array>;
  readonly columns: readonly MappedColumn[];
  /** Headings that became no channel. */
  readonly otherColumns: readonly string[];
  /** Line of the file that a row came from, from 1; null for formats without lines. */
  readonly lineOfRow: ((row: number) => number) | null;
  readonly problems: readonly Problem[];
}
