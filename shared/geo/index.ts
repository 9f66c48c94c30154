export { farOff, groupsApart, nearestOf } from './far-off.ts';
export { geodesicInverse } from './geodesic.ts';
export {
  bearingOf,
  type LocalFrame,
  localFrame,
  MEAN_METERS_PER_DEGREE,
  MIN_METERS_PER_DEGREE,
  metersPerDegree,
  wrapLongitude,
} from './local-frame.ts';
export { compassText, magneticDeclination, toMagnetic } from './magnetic.ts';
export { type Box, hasEdgesIn, type Polygon } from './polygon-edges.ts';
export { epsgOf, type MapSystem, mapSystem } from './projection.ts';
export {
  boxesMeet,
  boxOf,
  closedZoneAt,
  crossesClosed,
  type Hours,
  holdsDuring,
  isClosed,
  readShore,
  readZones,
  type Zone,
  zonesAt,
  zonesFarOff,
  zonesOf,
} from './zones.ts';
