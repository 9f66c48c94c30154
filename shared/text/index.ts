export * from './cast-words.ts';
export { parseDirection } from './compass.ts';
export { readFishNote, withoutOwnSummary } from './fish-note.ts';
export * from './length.ts';
export * from './mark-depth.ts';
export { meaningOf } from './meaning-of.ts';
export { bottomMessages, oddsText } from './messages/bottom.ts';
export {
  batchMessages,
  commandMessages,
  configMessages,
  inputMessages,
  optionMessages,
} from './messages/command.ts';
export { csvFileMessages } from './messages/csv-file.ts';
export { dayPlanMessages } from './messages/day-plan.ts';
export { fileMessages } from './messages/files.ts';
export { fishMessages, fishNoteText, noteSubjectIn, proposedDepthText } from './messages/fish.ts';
export { gpxMessages } from './messages/gpx.ts';
export { gpxOutputMessages } from './messages/gpx-output.ts';
export { type At, messages, plural, quote } from './messages/make.ts';
export { pluginMessages } from './messages/plugin.ts';
export * from './messages/prospect.ts';
export { readerMessages } from './messages/readers.ts';
export { castChanges } from './messages/since-last-time.ts';
export { soundingPluginMessages } from './messages/sounding-plugins.ts';
export { refusalMessages } from './messages/sounding-refusals.ts';
export { soundingMessages } from './messages/soundings.ts';
export { storeMessages } from './messages/store.ts';
export { grouped, type PartName, tieMessages } from './messages/ties.ts';
export { zoneMessages } from './messages/zones.ts';
export { nearNames, plainName } from './near-names.ts';
export * from './number.ts';
export * from './place.ts';
export * from './quantity.ts';
export * from './time.ts';
export * from './time-zone.ts';
