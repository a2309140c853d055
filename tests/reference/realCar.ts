import { readPlainLine } from '../../src/circuit/readPlainLine.ts';
import { readReference } from './folder.ts';

/** East and north of a line of the reference folder, m. */
export const plain = (path: string): [Float64Array, Float64Array] => {
  const { line } = readPlainLine(readReference(path), path);
  return [line!.eastM, line!.northM];
};

/** Keys of a session file that name the columns of h-data/real-road-course. */
export const CAR = `stage: track
axes: level
columns:
  time: { from: "time(s)", unit: s }
  east: { from: "x(m)", unit: m }
  north: { from: "y(m)", unit: m }
  speed: { from: "vx(m/s)", unit: m/s }
  heading: { from: "phi(rad)", unit: rad, fromEast: true }
  throttle: { from: "throttle_ped_cmd(%)", unit: "%" }
  brake_front: { from: "brake_ped_cmd(kPa)", unit: kPa }`;
