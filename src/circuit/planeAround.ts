import { localPlane, type Plane } from './plane.ts';

/**
 * Local plane in the middle of the box around places, also where they lie on both sides of the antimeridian.
 *
 * @param latDeg,lonDeg places, at least one; what is not a number is passed over
 */
export function planeAround(latDeg: ArrayLike<number>, lonDeg: ArrayLike<number>, heightM = 0): Plane {
  let firstLon = Number.NaN;
  let [west, east, south, north] = [0, 0, 90, -90];
  for (let i = 0; i < latDeg.length; i++) {
    const [lat, lon] = [latDeg[i]!, lonDeg[i]!];
    if (Number.isNaN(lat + lon)) continue;
    if (Number.isNaN(firstLon)) firstLon = lon;
    const from = shortWay(lon - firstLon);
    west = Math.min(west, from);
    east = Math.max(east, from);
    south = Math.min(south, lat);
    north = Math.max(north, lat);
  }
  return localPlane((south + north) / 2, shortWay(firstLon + (west + east) / 2), heightM);
}

const shortWay = (deg: number): number => ((((deg + 180) % 360) + 360) % 360) - 180;
