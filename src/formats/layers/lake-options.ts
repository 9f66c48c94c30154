import type { OptionDefinitions } from '../../../shared/contract/index.ts';

export const lakeGridOptions = {
  isobaths: {
    kind: 'length',
    min: 0.1,
    max: 50,
    default: 1.524,
    flag: 'isobaths',
    help: 'Difference in depth between two contours.',
  },
  cell: {
    kind: 'length',
    min: 2,
    max: 20,
    default: 5,
    flag: 'cell',
    help: 'Distance between neighboring depths of the grid.',
  },
  reach: {
    kind: 'length',
    min: 5,
    max: 60,
    default: 22,
    flag: 'reach',
    help: 'Farthest distance from a sounding at which a depth is given.',
  },
} as const satisfies OptionDefinitions;

export const LAKE_FILES: readonly string[] = [
  'isobaths.geojson',
  'lines.geojson',
  'areas.geojson',
  'depth.asc',
  'depth.prj',
  'depth-sd.asc',
  'depth-sd.prj',
  'depth.tif',
];
