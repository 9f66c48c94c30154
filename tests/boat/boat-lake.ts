import { localFrame } from '../../shared/geo/local-frame.ts';
import { write } from '../cli/run-program.ts';

const FRAME = localFrame(40.1, -90.2);

/** Script that keeps a page from being idle. An idle page makes plans in advance, which takes most time. */
export const NEVER_IDLE = 'globalThis.requestIdleCallback = () => 0;';

/** Returns the depth of a lake with rows of humps, 2.8 to 9.2 m, at a place in m. */
export const boatBottom = (east: number, north: number): number =>
  6 + 2.2 * Math.sin(east / 60) * Math.cos(north / 55) + Math.sin(north / 170);

/** Returns the position in degrees of a place in m. */
export const boatPlace = (
  east: number,
  north: number,
): { readonly latitude: number; readonly longitude: number } => {
  const [latitude, longitude] = FRAME.toGeographic(east, north);
  return { latitude, longitude };
};

const text = (east: number, north: number): string =>
  FRAME.toGeographic(east, north)
    .map((degrees) => degrees.toFixed(7))
    .join(',');

/** Returns the place of spot `at` of `count` on a loose grid over the lake, m. */
function spotPlace(at: number, count: number, size: number): readonly [east: number, north: number] {
  const across = Math.ceil(Math.sqrt(count));
  const step = (size - 200) / across;
  return [
    100 + (at % across) * step + ((at * 37) % 60),
    100 + Math.floor(at / across) * step + ((at * 53) % 60),
  ];
}

const STRUCTURES = ['point', 'hump', 'ledge', 'channel-edge'];
const LURES = ['16 ft diver', '20 ft diver', '12 ft diver'];

/** Returns the fields of one side, with the boat 30 m east (`sign` 1) or west (`sign` -1) of the mark. */
function side(
  name: string,
  east: number,
  north: number,
  sign: number,
  worth: number,
): [string, string | number][] {
  const [lat, lon] = FRAME.toGeographic(east + sign * 30, north);
  const [landingLat, landingLon] = FRAME.toGeographic(east - sign * 14, north);
  return [
    ['lat', lat],
    ['lon', lon],
    ['depth', 7.3],
    ['cast_true', sign > 0 ? 270 : 90],
    ['cast_mag', sign > 0 ? 272 : 92],
    ['cast', 44],
    ['landing_lat', landingLat],
    ['landing_lon', landingLon],
    ['landing_depth', 4.1],
    ['fish_contact', worth],
    ['worth', worth],
  ].map(([key, value]) => [`${name}_${key}`, value]);
}

function mark(name: string, at: number, count: number, size: number): string {
  const [east, north] = spotPlace(at, count, size);
  const [lat, lon] = FRAME.toGeographic(east, north);
  const worth = 5 + ((at * 29) % 11);
  const fields: [string, string | number][] = [
    ['status', 'ok'],
    ['depth', 4 + (at % 4)],
    ['structure', STRUCTURES[at % STRUCTURES.length]],
    ['fish_top', 5.2],
    ['fish_bottom', 6.7],
    ['declination', -2],
    ['lure', LURES[at % LURES.length]],
    ...side('downslope', east, north, 1, worth),
    ...side('upslope', east, north, -1, worth * 0.7),
    ['next_angles', 'quartering 294M 48yd, boat in 24ft; along the contour 189M 48yd, boat in 20ft'],
  ];
  const elements = fields.map(([key, value]) => `<ds:${key}>${value}</ds:${key}>`).join('');
  const escaped = name.replaceAll('&', '&amp;').replaceAll('<', '&lt;');
  return `<wpt lat="${lat}" lon="${lon}"><name>${escaped}</name><extensions><ds:waypoint made="extensions">${elements}</ds:waypoint></extensions></wpt>`;
}

/**
 * Writes an enriched lake and its soundings into a folder.
 *
 * @param size Side of the sounded square, m.
 * @param names Names of the first spots; the others are S1, S2 ...
 * @returns Arguments of `plan` for this lake.
 */
export function writeBoatLake(
  folder: string,
  count: number,
  size: number,
  names: readonly string[] = [],
): string[] {
  const marks = Array.from({ length: count }, (_, at) => mark(names[at] ?? `S${at + 1}`, at, count, size));
  write(
    folder,
    'lake.enriched.gpx',
    `<?xml version="1.0"?><gpx version="1.1" creator="t" xmlns="http://www.topografix.com/GPX/1/1" xmlns:ds="urn:downslope:gpx:1">${marks.join('')}</gpx>`,
  );
  const rows = ['lat,lon,depth_m'];
  for (let east = 0; east <= size; east += 25)
    for (let north = 0; north <= size; north += 8)
      rows.push(`${text(east, north)},${boatBottom(east, north).toFixed(2)}`);
  write(folder, 'sonar.csv', `${rows.join('\n')}\n`);
  const ring = [
    [0.45, 0.45],
    [0.55, 0.45],
    [0.55, 0.55],
    [0.45, 0.55],
    [0.45, 0.45],
  ].map(([x, y]) =>
    text(x * size, y * size)
      .split(',')
      .map(Number)
      .reverse(),
  );
  const geometry = { type: 'Polygon', coordinates: [ring] };
  const features = [
    { type: 'Feature', properties: { rule: 'slow', speed: '5mph', name: 'bridge' }, geometry },
  ];
  write(folder, 'zones.geojson', JSON.stringify({ type: 'FeatureCollection', features }));
  return [
    ...['plan', 'lake.enriched.gpx', '--soundings', 'sonar.csv', '--zones', 'zones.geojson'],
    ...['--ramp', text(40, 40), '--start', '06:30', '--check-in', '12:30'],
  ];
}
