import { defineWaypointPlugin } from '../shared/contract/index.ts';
import { placeOnLake, placeWords } from '../shared/lake/index.ts';
import { unitsOption } from '../shared/retrieve/index.ts';

export const lakePlace = defineWaypointPlugin({
  name: 'lake-place',
  summary:
    'Says where each waypoint is on the lake: the nearest lip, foot, crest or thalweg, its distance and side, and the form the waypoint is on.',
  stage: 'waypoint',
  options: { units: unitsOption },
  readsLake: true,
  requires: ['status'],
  uses: ['structure'],
  provides: ['lake_line', 'lake_line_distance', 'lake_line_side', 'lake_area', 'lake_place'],
  run({ waypoint, lake, fields }, options) {
    const place = lake && placeOnLake(lake, waypoint.lat, waypoint.lon);
    if (place === undefined) return {};
    return {
      lake_line: place.line?.kind,
      lake_line_distance: place.line?.distance,
      lake_line_side: place.line?.side,
      lake_area: place.area,
      lake_place: placeWords(place, fields.structure, options.units),
    };
  },
});
