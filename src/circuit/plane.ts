/** WGS 84 (NGA.STND.0036): equatorial radius and flattening. */
const A = 6378137;
const F = 1 / 298.257223563;
const E2 = F * (2 - F);
const B = A * (1 - F);
const RAD = Math.PI / 180;

/** A place on the plane, to be written to; a class for the reason that `LinePoint` gives. */
export class PlanePoint {
  eastM = 0;
  northM = 0;
  upM = 0;
}

/** East, north, up on the plane that touches the ellipsoid (raised by `heightM`) at the origin. */
export interface Plane {
  readonly latDeg: number;
  readonly lonDeg: number;
  readonly heightM: number;
  /** One place; without a height it is taken to be as high as the origin. */
  toPlane(latDeg: number, lonDeg: number, heightM?: number, out?: PlanePoint): PlanePoint;
  /** Many places, all taken to be as high as the origin; NaN where an input is NaN. */
  eastNorth(latDeg: Float64Array, lonDeg: Float64Array): { eastM: Float64Array; northM: Float64Array };
  /** The place as high as the origin that lies over this point of the plane. Inverse of `eastNorth`. */
  latLon(eastM: number, northM: number): { latDeg: number; lonDeg: number };
  /** The place at this point of space. Inverse of `toPlane`. */
  geodetic(eastM: number, northM: number, upM: number): { latDeg: number; lonDeg: number; heightM: number };
}

/**
 * Local plane at a place on the WGS 84 ellipsoid, by way of earth-centred axes: exact, with no series.
 *
 * @param latDeg,lonDeg origin, degrees
 * @param heightM height of the origin over the ellipsoid
 *
 * Source: IOGP Publication 373-7-2 (Geomatics Guidance Note 7, part 2), geocentric and topocentric conversions.
 */
export function localPlane(latDeg: number, lonDeg: number, heightM = 0): Plane {
  const sinLat0 = Math.sin(latDeg * RAD);
  const cosLat0 = Math.cos(latDeg * RAD);
  const sinLon0 = Math.sin(lonDeg * RAD);
  const cosLon0 = Math.cos(lonDeg * RAD);
  const normal0 = A / Math.sqrt(1 - E2 * sinLat0 * sinLat0);

  function toPlane(lat: number, lon: number, height: number = heightM, out?: PlanePoint): PlanePoint {
    const sinLat = Math.sin(lat * RAD);
    const cosLat = Math.cos(lat * RAD);
    // In axes turned to the origin's meridian, half-angle forms keep small differences exact.
    const dLon = (lon - lonDeg) * RAD;
    const half = Math.sin(dLon / 2);
    const normal = A / Math.sqrt(1 - E2 * sinLat * sinLat);
    const ring = (normal + height) * cosLat;
    const outward = ring - (normal0 + heightM) * cosLat0 - 2 * ring * half * half;
    const northward = (normal * (1 - E2) + height) * sinLat - (normal0 * (1 - E2) + heightM) * sinLat0;
    const point = out ?? new PlanePoint();
    point.eastM = ring * Math.sin(dLon);
    point.northM = cosLat0 * northward - sinLat0 * outward;
    point.upM = cosLat0 * outward + sinLat0 * northward;
    return point;
  }

  function geodetic(eastM: number, northM: number, upM: number): { latDeg: number; lonDeg: number; heightM: number } {
    const outward = cosLat0 * upM - sinLat0 * northM + (normal0 + heightM) * cosLat0;
    const x = cosLon0 * outward - sinLon0 * eastM;
    const y = sinLon0 * outward + cosLon0 * eastM;
    const z = sinLat0 * upM + cosLat0 * northM + (normal0 * (1 - E2) + heightM) * sinLat0;
    const ring = Math.hypot(x, y);
    // Bowring's formula, repeated: each round gains about three digits more than a circuit needs.
    let reduced = Math.atan2(A * z, B * ring);
    let lat = 0;
    for (let round = 0; round < 4; round++) {
      const s = Math.sin(reduced);
      const c = Math.cos(reduced);
      lat = Math.atan2(z + (E2 / (1 - E2)) * B * s ** 3, ring - E2 * A * c ** 3);
      reduced = Math.atan2((1 - F) * Math.sin(lat), Math.cos(lat));
    }
    const sinLat = Math.sin(lat);
    const height = ring * Math.cos(lat) + z * sinLat - A * Math.sqrt(1 - E2 * sinLat * sinLat);
    return { latDeg: lat / RAD, lonDeg: Math.atan2(y, x) / RAD, heightM: height };
  }

  return {
    latDeg,
    lonDeg,
    heightM,
    toPlane,
    geodetic,
    eastNorth(lat, lon) {
      const eastM = new Float64Array(lat.length);
      const northM = new Float64Array(lat.length);
      const point = new PlanePoint();
      for (let i = 0; i < lat.length; i++) {
        toPlane(lat[i]!, lon[i]!, heightM, point);
        eastM[i] = point.eastM;
        northM[i] = point.northM;
      }
      return { eastM, northM };
    },
    latLon(eastM, northM) {
      let upM = -(eastM * eastM + northM * northM) / (2 * A);
      let place = geodetic(eastM, northM, upM);
      // Each round shrinks the error of the height by the square of the angle from the origin.
      for (let round = 0; round < 8 && Math.abs(place.heightM - heightM) > 1e-9; round++) {
        upM -= place.heightM - heightM;
        place = geodetic(eastM, northM, upM);
      }
      return { latDeg: place.latDeg, lonDeg: place.lonDeg };
    },
  };
}
