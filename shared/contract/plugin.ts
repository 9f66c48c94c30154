import type { Unseen } from './bottom-model.ts';
import type { Diagnostic } from './diagnostic.ts';
import type { FieldDefinition, FieldName, FieldValues } from './fields.ts';
import type { LakeBottom, UncertainLakeBottom } from './lake-bottom.ts';
import type { OptionDefinitions, OptionValues, TextOption } from './options.ts';
import type { PluginBase, PluginContext } from './plugin-base.ts';
import type { ReaderPlugin } from './reader-plugin.ts';
import type { LogSummary, SoundingIndex, SoundingLog, Soundings, Survey } from './soundings.ts';
import type { DisplayUnits } from './units.ts';
import type { Waypoint } from './waypoint.ts';

/** Rows that a log plugin or survey plugin removes for one reason. */
export interface DroppedRows {
  /** Code of the diagnostic that reports the rows, `area/what`. */
  readonly reason: string;
  /** Row indices, ascending. */
  readonly rows: ArrayLike<number>;
}

/** Changes that a log plugin makes to a log: replaced columns, removed rows, or merged rows. */
export interface LogChange {
  /** Replaced columns, each as long as the log. */
  readonly columns?: Partial<Omit<Soundings, 'count'>>;
  readonly dropped?: readonly DroppedRows[];
  /** Shorter log that replaces the log. Each row stands for `weight` soundings; no row counts as dropped. */
  readonly reduced?: Soundings;
}

/** Works on one log, or on one part of a long log, before logs are combined: cleaning, datum, reduction. */
export interface LogPlugin<O extends OptionDefinitions = OptionDefinitions> extends PluginBase<O> {
  readonly stage: 'log';
  run(input: { readonly log: SoundingLog }, options: OptionValues<O>, context: PluginContext): LogChange;
}

export interface SurveyChange {
  readonly columns?: Partial<Omit<Soundings, 'count'> & Pick<Survey, 'tieError'>>;
  readonly dropped?: readonly DroppedRows[];
}

/** Works once on all soundings of the lake: agreement between passes, days and logs. */
export interface SurveyPlugin<O extends OptionDefinitions = OptionDefinitions> extends PluginBase<O> {
  readonly stage: 'survey';
  run(
    input: {
      readonly survey: Survey;
      readonly logs: readonly LogSummary[];
      readonly waypoints: readonly Waypoint[];
    },
    options: OptionValues<O>,
    context: PluginContext,
  ): SurveyChange;
}

/** Fields that a plugin itself defines, shown to the user as `PLUGIN.field`. */
export type PluginFields = Readonly<Record<string, FieldDefinition>>;

type PluginValue<D> = D extends { readonly type: 'number' } ? number : string;

/** What a waypoint plugin returns: any of the fields in `provides` and `fields`, and no other fields. */
export type Provided<P extends FieldName, F extends PluginFields> = {
  readonly [K in P]?: FieldValues[K];
} & { readonly [K in keyof F]?: PluginValue<F[K]> } & { readonly [K in Exclude<FieldName, P>]?: never };

export interface WaypointInput<R extends FieldName, U extends FieldName> {
  readonly waypoint: Waypoint;
  readonly waypoints: readonly Waypoint[];
  readonly survey: Survey;
  readonly index: SoundingIndex;
  /** What the lake hides between its passes; only for plugins with `readsUnseen`. */
  readonly unseen?: Unseen;
  /** The whole lake; only for plugins with `readsLake`, and only when the lake could be modeled. */
  readonly lake?: LakeBottom;
  /** Values of all fields in `requires`, and of those fields in `uses` and `changes` that have a value. */
  readonly fields: { readonly [K in R]: FieldValues[K] } & { readonly [K in U]?: FieldValues[K] };
}

/** A plugin that works on one waypoint at a time. The order of these plugins follows from their fields. */
interface OnWaypoints<O extends OptionDefinitions, R extends FieldName, U extends FieldName>
  extends PluginBase<O> {
  /** Fields that a waypoint must have to be given to the plugin. */
  readonly requires: readonly R[];
  /** Fields that the plugin uses if a waypoint has them. */
  readonly uses?: readonly U[];
}

export interface WaypointPlugin<
  O extends OptionDefinitions = OptionDefinitions,
  R extends FieldName = FieldName,
  U extends FieldName = FieldName,
  P extends FieldName = FieldName,
  F extends PluginFields = PluginFields,
> extends OnWaypoints<O, R, U> {
  readonly stage: 'waypoint';
  readonly provides: readonly P[];
  /** True to get what the lake hides between its passes (`unseen`). */
  readonly readsUnseen?: boolean;
  /** True to get the whole lake (`lake`). */
  readonly readsLake?: boolean;
  readonly fields?: F;
  run(input: WaypointInput<R, U>, options: OptionValues<O>, context: PluginContext): Provided<P, NoInfer<F>>;
}

/** What a refine plugin returns: any of the fields in `changes`, and no other fields. */
export type Changed<C extends FieldName> = { readonly [K in C]?: FieldValues[K] } & {
  readonly [K in Exclude<FieldName, C>]?: never;
};

/**
 * Changes fields that other plugins provide; runs before all waypoint plugins that read these fields.
 *
 * A waypoint with none of the fields in `changes` is not passed to the plugin. Each change is reported for
 * the waypoint (`plugin/refined`), with the values before and after.
 */
export interface RefinePlugin<
  O extends OptionDefinitions = OptionDefinitions,
  R extends FieldName = FieldName,
  U extends FieldName = FieldName,
  C extends FieldName = FieldName,
> extends OnWaypoints<O, R, U> {
  readonly stage: 'refine';
  /** Public fields that the plugin may change; the plugin gets their values. */
  readonly changes: readonly C[];
  run(input: WaypointInput<R, U | C>, options: OptionValues<O>, context: PluginContext): Changed<C>;
}

export type AnyWaypointPlugin = WaypointPlugin | RefinePlugin;

/** One waypoint with everything that the waypoint plugins found. */
export interface EnrichedWaypoint {
  readonly waypoint: Waypoint;
  readonly fields: Partial<FieldValues> & Readonly<Record<string, unknown>>;
  readonly diagnostics: readonly Diagnostic[];
}

/**
 * Works once on all enriched waypoints and returns plain data, such as the day plan. Only a built-in plugin
 * can be a plan plugin.
 */
export interface PlanPlugin<O extends OptionDefinitions = OptionDefinitions, T = unknown>
  extends PluginBase<O> {
  readonly stage: 'plan';
  readonly requires: readonly FieldName[];
  run(
    input: {
      readonly waypoints: readonly EnrichedWaypoint[];
      readonly survey: Survey;
      readonly index: SoundingIndex;
    },
    options: OptionValues<O>,
    context: PluginContext,
  ): T;
}

/** Everything that a run found. Writers must not change it. */
export interface FinishedRun {
  readonly waypoints: readonly EnrichedWaypoint[];
  /** All soundings, cleaned and reduced; depths are below the plan's water level if levels are given. */
  readonly survey: Survey;
  /** Fields shown in the table, in order. */
  readonly fields: readonly (readonly [name: string, definition: FieldDefinition])[];
  readonly units: DisplayUnits;
  /** The whole lake; absent in a run by the package, when no waypoint plugin reads it, or without a model. */
  readonly lake?: UncertainLakeBottom | undefined;
}

export interface OutputFile {
  /** Path below the folder given by the option `out`, with `/` as separator. */
  readonly name: string;
  readonly content: string | Uint8Array;
}

/** A position that a writer adds to the enriched GPX, beside a waypoint. */
export interface WriterPosition {
  /** The waypoint that the position belongs to. */
  readonly of: EnrichedWaypoint;
  /** One of the writer's `suffixes`; written after the name of the waypoint. */
  readonly suffix: string;
  /** deg, WGS 84. */
  readonly lat: number;
  readonly lon: number;
  /** One line. */
  readonly comment: string;
  readonly symbol?: string;
}

/** Options of a writer. `out` is the folder for the writer's files; without `out`, no files are written. */
export type WriterOptions = OptionDefinitions & { readonly out: TextOption };

/** Makes files from a finished run. The files are written together with all other outputs. */
export interface WriterPlugin<O extends WriterOptions = WriterOptions> extends PluginBase<O> {
  readonly stage: 'writer';
  /** Internal fields that the files are made from, such as `bottom`. */
  readonly requires: readonly FieldName[];
  /** Names of the files that are always written; an existing file is reported before any work is done. */
  readonly files?: readonly string[];
  /** Suffixes of the positions: one to three capitals, except `D`, `U`, `A` and suffixes of other plugins. */
  readonly suffixes?: readonly string[];
  /**
   * Returns positions for the enriched GPX, with or without `out`. A later run replaces these positions and
   * keeps what the user wrote on them. The command `undo` removes them.
   */
  positions?(
    run: FinishedRun,
    options: OptionValues<O>,
    context: PluginContext,
  ): readonly WriterPosition[] | Promise<readonly WriterPosition[]>;
  write(
    run: FinishedRun,
    options: OptionValues<O>,
    context: PluginContext,
  ): readonly OutputFile[] | Promise<readonly OutputFile[]>;
}

export type Plugin =
  | ReaderPlugin
  | LogPlugin
  | SurveyPlugin
  | WaypointPlugin
  | RefinePlugin
  | PlanPlugin
  | WriterPlugin;

export const defineWriterPlugin = <const O extends WriterOptions>(plugin: WriterPlugin<O>) => plugin;

export const defineLogPlugin = <const O extends OptionDefinitions>(plugin: LogPlugin<O>) => plugin;

export const defineSurveyPlugin = <const O extends OptionDefinitions>(plugin: SurveyPlugin<O>) => plugin;

export const defineWaypointPlugin = <
  const O extends OptionDefinitions,
  const R extends FieldName,
  const P extends FieldName,
  const U extends FieldName = never,
  const F extends PluginFields = Record<never, never>,
>(
  plugin: WaypointPlugin<O, R, U, P, F>,
) => plugin;

export const defineRefinePlugin = <
  const O extends OptionDefinitions,
  const R extends FieldName,
  const C extends FieldName,
  const U extends FieldName = never,
>(
  plugin: RefinePlugin<O, R, U, C>,
) => plugin;

export const definePlanPlugin = <const O extends OptionDefinitions, T>(plugin: PlanPlugin<O, T>) => plugin;
