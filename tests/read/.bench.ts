import { readBytes } from './readText.ts';

const channels =
  'time [s],lat [deg],lon [deg],alt [m],speed [km/h],heading [deg],acc_long [m/s2],acc_lat [m/s2],acc_vert [m/s2],roll [deg],pitch [deg],yaw_rate [deg/s],throttle [%],brake_front [bar],brake_rear [bar],gear,engine_speed [/min],steer_angle [deg],steer_torque [N.m],wheel_speed_front [km/h],wheel_speed_rear [km/h],mode,fix,position_sigma [m],x1,x2,x3,x4,x5,x6';
let seed = 1;
const r = () => (seed = (seed * 1103515245 + 12345) & 0x7fffffff) / 0x7fffffff;
const lines = [channels];
for (let i = 0; i < 200000; i++) {
  const c = [(i * 0.01).toFixed(2), (43.36 + r() * 0.01).toFixed(8), (4.76 + r() * 0.01).toFixed(8)];
  for (let k = 3; k < 30; k++)
    c.push(
      k === 15 || k === 21 || k === 22
        ? String(Math.floor(r() * 6))
        : ((r() - 0.5) * (k % 3 === 0 ? 200 : 10)).toFixed(k % 2 ? 2 : 3),
    );
  lines.push(c.join(','));
}
const bytes = new TextEncoder().encode(lines.join('\n') + '\n');
console.log(bytes.length / 1e6, 'MB');
for (let k = 0; k < 4; k++) {
  let t = performance.now();
  let s = 0;
  for (let i = 0; i < bytes.length; i++) s = (s + bytes[i]!) | 0;
  const sum = performance.now() - t;
  t = performance.now();
  const out = await readBytes(bytes, { everything: k === 3 });
  const dt = performance.now() - t;
  console.log(
    'sum',
    (bytes.length / 1e3 / sum).toFixed(0),
    'read',
    (bytes.length / 1e3 / dt).toFixed(0),
    'MB/s',
    out.recording!.rows,
    out.recording!.columns.length,
    out.problems.length,
    s,
  );
}
