/** WGS 84 ellipsoid: half axis (m) and flattening. */
const A = 6378137;
const F = 1 / 298.257223563;
const E2 = F * (2 - F);
const RAD = Math.PI / 180;

/** A place on the ellipsoid: degrees, and metres above it. */
export interface Place {
  readonly latDeg: number;
  readonly lonDeg: number;
  readonly altM: number;
}

function toEarth(latRad: number, lonRad: number, altM: number): [number, number, number] {
  const sin = Math.sin(latRad);
  const n = A / Math.sqrt(1 - E2 * sin * sin);
  const r = (n + altM) * Math.cos(latRad);
  return [r * Math.cos(lonRad), r * Math.sin(lonRad), (n * (1 - E2) + altM) * sin];
}

/** Geodetic coordinates of an Earth-centred point near the surface, by fixed-point iteration to below 1e-9 m. */
function fromEarth(x: number, y: number, z: number): [number, number, number] {
  const r = Math.hypot(x, y);
  let lat = Math.atan2(z, r * (1 - E2));
  let alt = 0;
  for (let i = 0; i < 8; i++) {
    const sin = Math.sin(lat);
    const n = A / Math.sqrt(1 - E2 * sin * sin);
    alt = r / Math.cos(lat) - n;
    lat = Math.atan2(z, r * (1 - (E2 * n) / (n + alt)));
  }
  return [lat, Math.atan2(y, x), alt];
}

/**
 * Maps a point of the plane that touches the ellipsoid at `origin` (metres east and north) to the ellipsoid, at a given
 * height above it. Exact geometry (Earth-centred coordinates and back), not a series.
 */
export function planeToEarth(origin: Place, eastM: number, northM: number, altM: number): Place {
  const lat0 = origin.latDeg * RAD;
  const lon0 = origin.lonDeg * RAD;
  const [x0, y0, z0] = toEarth(lat0, lon0, origin.altM);
  const [sp, cp, sl, cl] = [Math.sin(lat0), Math.cos(lat0), Math.sin(lon0), Math.cos(lon0)];
  let up = altM - origin.altM;
  for (let i = 0; ; i++) {
    const x = x0 - sl * eastM - sp * cl * northM + cp * cl * up;
    const y = y0 + cl * eastM - sp * sl * northM + cp * sl * up;
    const z = z0 + cp * northM + sp * up;
    const [lat, lon, alt] = fromEarth(x, y, z);
    if (i === 3) return { latDeg: lat / RAD, lonDeg: lon / RAD, altM: alt };
    up += altM - alt;
  }
}
