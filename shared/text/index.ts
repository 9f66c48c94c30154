export * from './cast-words.ts';
export { parseDirection } from './compass.ts';
export { readFishNote, withoutOwnSummary } from './fish-note.ts';
export * from './length.ts';
export * from './mark-depth.ts';
export { batch } from './messages/batch.ts';
export * as bottom from './messages/bottom.ts';
export { oddsText } from './messages/bottom.ts';
export { command, config, input, option } from './messages/command.ts';
export { csvFile } from './messages/csv-file.ts';
export * as dayPlan from './messages/day-plan.ts';
export { notEnriched, pageWithoutRoutes } from './messages/day-plan.ts';
export { files } from './messages/files.ts';
export * as fish from './messages/fish.ts';
export { gpx } from './messages/gpx.ts';
export { gpxOutput } from './messages/gpx-output.ts';
export type { At } from './messages/make.ts';
export { plugin } from './messages/plugin.ts';
export * from './messages/prospect.ts';
export * as prospect from './messages/prospect.ts';
export { readers } from './messages/readers.ts';
export * from './messages/since-last-time.ts';
export { soundingPlugins } from './messages/sounding-plugins.ts';
export { soundingRefusals, swapOf } from './messages/sounding-refusals.ts';
export { soundings } from './messages/soundings.ts';
export { store } from './messages/store.ts';
export * as ties from './messages/ties.ts';
export {
  driftCorrected,
  farFromWaypoints,
  grouped,
  latencyCorrected,
  latencyUsed,
  type PartName,
  shiftCorrected,
} from './messages/ties.ts';
export { zones } from './messages/zones.ts';
export { nearNames, plainName } from './near-names.ts';
export * from './number.ts';
export * from './place.ts';
export * from './quantity.ts';
export * from './time.ts';
export * from './time-zone.ts';
