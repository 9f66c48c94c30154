export { geodesicInverse } from './geodesic.ts';
export { type LocalFrame, localFrame, wrapLongitude } from './local-frame.ts';
export { magneticDeclination, toMagnetic } from './magnetic.ts';
export { MEAN_METERS_PER_DEGREE, metersPerDegree } from './meters-per-degree.ts';
export { nearFrame } from './near-frame.ts';
export { epsgOf, type MapSystem, mapSystem } from './projection.ts';
export {
  closedZoneAt,
  crossesClosed,
  type Hours,
  holdsDuring,
  isClosed,
  type Polygon,
  readShore,
  readZones,
  type Zone,
  zonesAt,
  zonesWithin,
} from './zones.ts';
