export { geodesicInverse } from './geodesic.ts';
export { type LocalFrame, localFrame, wrapLongitude } from './local-frame.ts';
export { magneticDeclination, toMagnetic } from './magnetic.ts';
export { MEAN_METERS_PER_DEGREE, metersPerDegree } from './meters-per-degree.ts';
export { nearFrame } from './near-frame.ts';
export { type MapSystem, epsgOf, mapSystem } from './projection.ts';
export { type Hours, type Polygon, type Zone, closedZoneAt, crossesClosed, holdsDuring, isClosed, readShore, readZones, zonesAt, zonesWithin } from './zones.ts';
