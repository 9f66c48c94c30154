import { contours } from 'd3-contour';
import type { Feature, Geometry } from 'geojson';
import { type DisplayUnits, fromMeters, type OutputFile } from '../../../shared/contract/index.ts';
import { type GroundDepths, type LakeArea, type LakeLine, placeOf } from '../../../shared/lake/index.ts';
import { formatAsciiGrid, formatGeotiff, inDegrees, WGS84_TEXT } from './ascii-grid.ts';
import { LAKE_FILES } from './lake-options.ts';
import { layerBytes } from './layer.ts';

/**
 * Makes the layers of the whole lake, in the order of `LAKE_FILES`: isobaths, lines and areas as GeoJSON;
 * depth and its standard deviation as ASCII grids, each with a `.prj` file, and as one GeoTIFF. Lengths are
 * in the user's units, areas in m2.
 *
 * @param interval Difference in depth between isobaths, m.
 */
export async function lakeFiles(
  grid: GroundDepths,
  lines: readonly LakeLine[],
  areas: readonly LakeArea[],
  interval: number,
  units: DisplayUnits,
): Promise<OutputFile[]> {
  const grids = [grid.depth, grid.sd].map((values) =>
    inDegrees(
      grid,
      values.map((value) => fromMeters(value, units)),
    ),
  );
  const contents = [
    layerBytes('isobaths', isobathLayer(grid, interval, units)),
    layerBytes('lines', linesLayer(lines, units)),
    layerBytes('areas', areasLayer(areas, units)),
    ...grids.flatMap((each) => [formatAsciiGrid(each, 2), WGS84_TEXT]),
    await formatGeotiff(grids, ['depth', 'standard deviation of the depth'], units),
  ];
  return LAKE_FILES.map((name, i) => ({ name, content: contents[i] }));
}

/** Decimals of coordinates, about 1 cm. */
const PLACE_DECIMALS = 7;
const position = ([lat, lon]: readonly [lat: number, lon: number]): [number, number] => [
  Number(lon.toFixed(PLACE_DECIMALS)),
  Number(lat.toFixed(PLACE_DECIMALS)),
];
const round = (value: number, decimals: number): number => Number(value.toFixed(decimals));

const feature = (id: string, geometry: Geometry, properties: Record<string, unknown>): Feature => ({
  type: 'Feature',
  id,
  geometry,
  properties,
});

/**
 * Makes isobaths as lines, one feature for each connected piece.
 *
 * @param interval Difference in depth between isobaths, m, > 0.
 * @param units Units of the property `depth_ft` or `depth_m`.
 */
export function isobathLayer(grid: GroundDepths, interval: number, units: DisplayUnits): Feature[] {
  const known = Array.from(grid.depth, (depth) => (Number.isNaN(depth) ? -1 : depth));
  const deepest = known.reduce((most, depth) => Math.max(most, depth), 0);
  const levels = Array.from({ length: Math.floor(deepest / interval) }, (_, k) => (k + 1) * interval);
  const features = contours()
    .size([grid.columns, grid.rows])
    .thresholds(levels)(known)
    .flatMap(({ value, coordinates }) =>
      coordinates.flat().flatMap((ring) => piecesOnWater(grid, ring).map((piece) => ({ value, piece }))),
    );
  return features.map(({ value, piece }, k) =>
    feature(
      `isobath-${k + 1}`,
      { type: 'LineString', coordinates: piece },
      { [`depth_${units}`]: round(fromMeters(value, units), 2) },
    ),
  );
}

/** Returns the pieces of a ring between known depths. The rest of the ring follows the edge of the survey. */
function piecesOnWater(grid: GroundDepths, ring: readonly (readonly number[])[]): [number, number][][] {
  const pieces: [number, number][][] = [];
  let piece: [number, number][] = [];
  for (const [x, y] of ring) {
    // Node n is at n + 0.5 in the library's plane.
    const [column, row] = [x - 0.5, y - 0.5];
    if (isKnownAround(grid, column, row)) piece.push(position(placeOf(grid, column, row)));
    else {
      if (piece.length > 1) pieces.push(piece);
      piece = [];
    }
  }
  if (piece.length > 1) pieces.push(piece);
  return pieces;
}

function isKnownAround({ columns, rows, depth }: GroundDepths, column: number, row: number): boolean {
  for (const y of [Math.floor(row), Math.ceil(row)])
    for (const x of [Math.floor(column), Math.ceil(column)])
      if (x < 0 || y < 0 || x >= columns || y >= rows || Number.isNaN(depth[y * columns + x])) return false;
  return true;
}

function linesLayer(lines: readonly LakeLine[], units: DisplayUnits): Feature[] {
  return lines.map((line, k) =>
    feature(
      `${line.kind}-${k + 1}`,
      { type: 'LineString', coordinates: line.places.map(position) },
      {
        kind: line.kind,
        [`length_${units}`]: round(fromMeters(line.length, units), 0),
        [`depth_${units}`]: round(fromMeters(line.depth, units), 1),
        [`shallowest_${units}`]: round(fromMeters(line.shallowest, units), 1),
        [`deepest_${units}`]: round(fromMeters(line.deepest, units), 1),
        sure: round(line.sure, 2),
        inferred: line.isInferred,
      },
    ),
  );
}

function areasLayer(areas: readonly LakeArea[], units: DisplayUnits): Feature[] {
  return areas.map((area, k) =>
    feature(
      `${area.kind}-${k + 1}`,
      { type: 'Polygon', coordinates: area.rings.map((ring) => ring.map(position)) },
      {
        kind: area.kind,
        [`top_${units}`]: round(fromMeters(area.topDepth, units), 1),
        [`relief_${units}`]: round(fromMeters(area.relief, units), 1),
        area_m2: round(area.area, 0),
        sure: round(area.sure, 2),
      },
    ),
  );
}
