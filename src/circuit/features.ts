import type { Problem, Severity } from '../problem.ts';
import type { Plane } from './plane.ts';
import { planeAround } from './planeAround.ts';

const ROLES = ['reference-line', 'gate', 'edge-left', 'edge-right', 'corner', 'sector'] as const;
export type Role = (typeof ROLES)[number];

/** One feature with a role: its points on the plane. */
export interface Feature {
  readonly role: Role;
  readonly name: string | null;
  /** Place in the file, as shown in problems. */
  readonly key: string;
  readonly eastM: Float64Array;
  readonly northM: Float64Array;
}

export interface Features {
  readonly name: string | null;
  readonly plane: Plane | null;
  readonly features: readonly Feature[];
  readonly problems: Problem[];
}

const REMEDY = 'draw it anew, or let `gapbook new circuit` write the file';
/** Roles without which there is no circuit: what is wrong with them stops. */
const NEEDED: readonly Role[] = ['reference-line', 'gate'];

/** Members that are looked at; what they hold is not known before. */
type Json = Partial<
  Record<'type' | 'features' | 'plane' | 'crs' | 'name' | 'properties' | 'role' | 'geometry' | 'coordinates', unknown>
>;
const isObject = (value: unknown): value is Json =>
  typeof value === 'object' && value !== null && !Array.isArray(value);
const textOf = (value: unknown): string | null =>
  typeof value === 'string' && value.trim() !== '' ? value.trim() : typeof value === 'number' ? String(value) : null;

/** What a value is, short enough for one line. */
function shown(value: unknown): string {
  if (value === undefined) return 'nothing';
  const text = JSON.stringify(value);
  return text.length > 60 ? `${text.slice(0, 57)}...` : text;
}

/**
 * Features of a circuit's GeoJSON (RFC 7946), laid on a plane: that of the file's own metres where it says
 * `"plane": "metres"`, else the local plane in the middle of the reference line (or of the edges, or of everything).
 * Content that cannot be used becomes a problem; nothing is thrown.
 */
export function readFeatures(text: string, file: string): Features {
  const problems: Problem[] = [];
  const report = (severity: Severity, key: string | null, found: string, expected: string, remedy = REMEDY): void => {
    problems.push({
      code: 'CIRCUIT_INVALID',
      severity,
      place: key === null ? { file } : { file, key },
      found,
      expected,
      remedy,
    });
  };
  const none: Features = { name: null, plane: null, features: [], problems };

  let content: unknown;
  try {
    content = JSON.parse(text.replace(/^\uFEFF/, ''));
  } catch (error) {
    const message = error instanceof Error ? error.message : String(error);
    const position = Number(/position (\d+)/.exec(message)?.[1] ?? text.length);
    const line = text.slice(0, position).split('\n').length;
    problems.push({
      code: 'CIRCUIT_INVALID',
      severity: 'stop',
      place: { file, line },
      found: 'text that is not JSON from here on',
      expected: 'a GeoJSON FeatureCollection (RFC 7946)',
      remedy: REMEDY,
    });
    return none;
  }
  if (!isObject(content) || content.type !== 'FeatureCollection' || !Array.isArray(content.features)) {
    const found = isObject(content) ? `an object of type ${shown(content.type)}` : shown(content);
    report('stop', null, found, 'a GeoJSON FeatureCollection with a list of features', REMEDY);
    return none;
  }
  const metres = content.plane === 'metres';
  if (content.plane !== undefined && !metres) {
    report('stop', 'plane', shown(content.plane), '"metres", or no `plane` for degrees of WGS 84');
    return none;
  }
  if (content.crs !== undefined) {
    report(
      'warn',
      'crs',
      'a coordinate reference system, which RFC 7946 no longer has',
      metres ? 'none: the file says that its coordinates are metres' : 'degrees of WGS 84, longitude first',
      'take the member out where the coordinates are WGS 84, else convert them',
    );
  }

  const raw: { role: Role; name: string | null; key: string; points: number[][] }[] = [];
  for (const [index, feature] of content.features.entries()) {
    const key = `features[${index}]`;
    const properties = isObject(feature) && isObject(feature.properties) ? feature.properties : {};
    const role = ROLES.find((one) => one === properties.role);
    if (!isObject(feature) || role === undefined) {
      report(
        'note',
        `${key}.properties.role`,
        shown(properties.role),
        `one of ${ROLES.join(', ')}`,
        'the feature is left out; give it a role if it should count',
      );
      continue;
    }
    const severity = NEEDED.includes(role) ? 'stop' : 'warn';
    const geometry = isObject(feature.geometry) ? feature.geometry : {};
    const type = role === 'corner' ? 'Point' : 'LineString';
    if (geometry.type !== type) {
      report(severity, `${key}.geometry`, `${role} as ${shown(geometry.type)}`, `a ${type}`);
      continue;
    }
    const coordinates = role === 'corner' ? [geometry.coordinates] : geometry.coordinates;
    const points = Array.isArray(coordinates) ? coordinates : [];
    const wrong = points.findIndex((one) => !isPosition(one, metres));
    if (wrong >= 0) {
      const place = role === 'corner' ? `${key}.geometry.coordinates` : `${key}.geometry.coordinates[${wrong}]`;
      const expected = metres ? '[x, y] in metres' : '[longitude, latitude] in degrees, within ±180 and ±90';
      report(severity, place, shown(points[wrong]), expected);
      continue;
    }
    if (type === 'LineString' && points.length < 2) {
      report(severity, `${key}.geometry.coordinates`, `${points.length} positions`, 'at least two');
      continue;
    }
    raw.push({ role, name: textOf(properties.name), key, points: points as number[][] });
  }

  const plane = metres ? null : planeOf(raw);
  const features = raw.map(({ role, name, key, points }): Feature => {
    const [first, second] = [0, 1].map((axis) => Float64Array.from(points, (point) => point[axis]!));
    const { eastM, northM } = plane ? plane.eastNorth(second!, first!) : { eastM: first!, northM: second! };
    return { role, name, key, eastM, northM };
  });
  return { name: textOf(content.name), plane, features, problems };
}

function isPosition(value: unknown, metres: boolean): value is number[] {
  if (!Array.isArray(value) || value.length < 2 || !value.every(Number.isFinite)) return false;
  return metres || (Math.abs(value[0]) <= 180 && Math.abs(value[1]) <= 90);
}

/** Plane in the middle of the box around the reference line, or else around everything, as high as its positions say. */
function planeOf(raw: readonly { role: Role; points: number[][] }[]): Plane | null {
  const lines = raw.filter((one) => one.role === 'reference-line');
  const edges = raw.filter((one) => one.role === 'edge-left' || one.role === 'edge-right');
  const points = [lines, edges, raw].find((list) => list.length > 0)?.flatMap((one) => one.points);
  if (points === undefined) return null;
  const heights = points.flatMap(([, , up]) => (up === undefined ? [] : [up]));
  const height = heights.length === points.length ? heights.reduce((sum, up) => sum + up, 0) / heights.length : 0;
  return planeAround(
    points.map(([, lat]) => lat!),
    points.map(([lon]) => lon!),
    height,
  );
}
