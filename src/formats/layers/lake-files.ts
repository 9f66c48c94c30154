import { type DisplayUnits, fromMeters, type OutputFile } from '../../../shared/contract/index.ts';
import type { GroundDepths, LakeArea, LakeLine } from '../../../shared/lake/index.ts';
import { formatAsciiGrid, formatGeotiff, inDegrees, WGS84_TEXT } from './ascii-grid.ts';
import { areasLayer, isobathLayer, linesLayer } from './lake-layers.ts';
import { LAKE_FILES } from './lake-options.ts';
import { layerBytes } from './layer.ts';

/**
 * Layers of the whole lake, in the order of `LAKE_FILES`: isobaths, lines and areas as GeoJSON; depth and its
 * uncertainty as ASCII grids and as the two bands of a GeoTIFF. All are in the user's units.
 *
 * @param interval Depth between isobaths, m.
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
