/** What the author of a plugin imports from the package. */

export type { BottomModel, DepthGrid } from './bottom/model.ts';
export { type Diagnostic, type Place, Refusal, type Severity } from './contract/diagnostic.ts';
export {
  FIELDS,
  type FieldDefinition,
  type FieldName,
  type FieldUnit,
  type FieldValues,
  STRUCTURE_WORDS,
  type StructureWord,
} from './contract/fields.ts';
export { inKilometers, inMeters } from './contract/lengths.ts';
export type {
  CsvFile,
  DepthRange,
  JsonFile,
  OptionDefinition,
  OptionDefinitions,
  OptionValues,
} from './contract/options.ts';
export {
  defineLogPlugin,
  defineReaderPlugin,
  defineSurveyPlugin,
  defineWaypointPlugin,
  defineWriterPlugin,
  type EnrichedWaypoint,
  type FinishedRun,
  type InnerFile,
  type LogChange,
  type LogPlugin,
  type OutputFile,
  type Plugin,
  type PluginContext,
  type Projection,
  type ReaderContext,
  type ReaderInput,
  type ReaderPlugin,
  type Reading,
  type ReadSoundings,
  type ReadWaypoint,
  type SurveyChange,
  type SurveyPlugin,
  type WaypointInput,
  type WaypointPlugin,
  type WriterPlugin,
} from './contract/plugin.ts';
export type { LogSummary, SoundingIndex, SoundingLog, Soundings, Survey } from './contract/soundings.ts';
export type { Waypoint } from './contract/waypoint.ts';
export { type LocalFrame, localFrame } from './geo/local-frame.ts';
export { fromMeters, METERS_PER, toMeters } from './geo/units.ts';
export type { CastPlan, Spot } from './retrieve/cast-plan.ts';
