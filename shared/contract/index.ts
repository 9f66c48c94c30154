export {
  type BottomModel,
  type BottomStatus,
  type DepthGrid,
  type DepthSummary,
  STRUCTURE_WORDS,
  type StructureWord,
  type Unseen,
} from './bottom-model.ts';
export type { CastKind, CastPlan, EarlierCast, EarlierCasts, Spot, WindOnCast } from './cast-plan.ts';
export {
  type Diagnostic,
  formatDiagnostic,
  inFile,
  jsonDiagnostic,
  type Place,
  Refusal,
  type Repair,
  type Severity,
  stackOf,
  thrownIn,
  visible,
  withoutTurns,
} from './diagnostic.ts';
export {
  type CastName,
  FIELDS,
  type FieldDefinition,
  type FieldName,
  type FieldUnit,
  type FieldValues,
  INTERNAL_FIELDS,
} from './fields.ts';
export {
  AREA_KINDS,
  type AreaKind,
  type BottomArea,
  type BottomLine,
  type LakeBottom,
  LINE_KINDS,
  type LineKind,
} from './lake-bottom.ts';
export { inKilometers, inMeters, inUnits } from './lengths.ts';
export { mergeByRank, mergeBySentence } from './merge-diagnostics.ts';
export type {
  CsvFile,
  DepthRange,
  FileOption,
  JsonFile,
  NumberOption,
  OptionDefinition,
  OptionDefinitions,
  OptionValues,
} from './options.ts';
export {
  type AnyWaypointPlugin,
  defineLogPlugin,
  definePlanPlugin,
  defineRefinePlugin,
  defineSurveyPlugin,
  defineWaypointPlugin,
  defineWriterPlugin,
  type EnrichedWaypoint,
  type FinishedRun,
  type LogChange,
  type LogPlugin,
  type OutputFile,
  type PlanPlugin,
  type Plugin,
  type RefinePlugin,
  type SurveyChange,
  type SurveyPlugin,
  type WaypointInput,
  type WaypointPlugin,
  type WriterPlugin,
  type WriterPosition,
} from './plugin.ts';
export type { PluginContext } from './plugin-base.ts';
export {
  defineReaderPlugin,
  type InnerFile,
  type Projection,
  type ReaderContext,
  type ReaderInput,
  type ReaderPlugin,
  type Reading,
  type ReadSoundings,
  type ReadWaypoint,
} from './reader-plugin.ts';
export {
  CELL,
  CELL_WIDTH,
  type CellMeans,
  type DepthReference,
  type LogSummary,
  type RowAccount,
  SOUNDING_COLUMNS,
  type SoundingColumn,
  type SoundingIndex,
  type SoundingLog,
  type Soundings,
  SURVEY_COLUMNS,
  type Survey,
} from './soundings.ts';
export {
  type DisplayUnits,
  fromMeters,
  type LengthUnit,
  METERS_PER,
  METERS_PER_SECOND_PER,
  type SpeedUnit,
  toMeters,
} from './units.ts';
export type { Waypoint } from './waypoint.ts';
