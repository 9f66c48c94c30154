import type { Diagnostic } from './diagnostic.ts';
import type { FieldDefinition, FieldName, FieldValues } from './fields.ts';
import type { OptionDefinitions, OptionValues } from './options.ts';
import type { LogSummary, SoundingIndex, SoundingLog, Soundings, Survey } from './soundings.ts';
import type { Waypoint } from './waypoint.ts';

/** What a plugin may do besides returning: say things and show progress. */
export interface PluginContext {
  /** Says something about the data; the waypoint, if any, is filled in as the place. */
  report(diagnostic: Diagnostic): void;
  /** Share of the work done, 0 to 1. */
  progress(share: number): void;
  /**
   * True when a later plugin or a picture reads a field that no table shows, so that it need not be made in vain.
   *
   * Public fields are always wanted.
   */
  isWanted(field: FieldName): boolean;
}

interface PluginBase<O extends OptionDefinitions> {
  /** Kebab-case, the file's name. */
  readonly name: string;
  /** One sentence. */
  readonly summary: string;
  readonly options: O;
}

/** Rows that a log plugin takes out, by reason. */
export interface DroppedRows {
  /** Code of the diagnostic that reports them, `area/what`. */
  readonly reason: string;
  /** Row indices, ascending. */
  readonly rows: ArrayLike<number>;
}

/** What a log plugin makes of a log: changed columns, rows taken out, or rows put together. */
export interface LogChange {
  /** Replaced columns, each as long as the log. */
  readonly columns?: Partial<Omit<Soundings, 'count'>>;
  readonly dropped?: readonly DroppedRows[];
  /** A shorter log in which each row stands for `weight` rows; nothing is counted as dropped. */
  readonly reduced?: Soundings;
}

/** Works on one log at a time, before logs are put together: cleaning, datum, reduction. */
export interface LogPlugin<O extends OptionDefinitions = OptionDefinitions> extends PluginBase<O> {
  readonly stage: 'log';
  run(input: { readonly log: SoundingLog }, options: OptionValues<O>, context: PluginContext): LogChange;
}

/** What a survey plugin changes: columns of the whole lake's soundings. */
export interface SurveyChange {
  readonly columns?: Partial<Omit<Soundings, 'count'> & Pick<Survey, 'doubt'>>;
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

/** Fields of a plugin of the person's own, named `PLUGIN.field`. */
export type OwnFields = Readonly<Record<string, FieldDefinition>>;

type OwnValue<D> = D extends { readonly type: 'number' } ? number : string;

/** What a waypoint plugin may return: fields it provides and its own, any of them left out; nothing else. */
export type Provided<P extends FieldName, F extends OwnFields> = {
  readonly [K in P]?: FieldValues[K];
} & { readonly [K in keyof F]?: OwnValue<F[K]> } & { readonly [K in Exclude<FieldName, P>]?: never };

/** What a waypoint plugin reads. */
export interface WaypointInput<R extends FieldName, U extends FieldName> {
  readonly waypoint: Waypoint;
  /** All waypoints of the run. */
  readonly waypoints: readonly Waypoint[];
  readonly survey: Survey;
  readonly index: SoundingIndex;
  /** Required fields are always there: a waypoint that lacks one is not given to the plugin. */
  readonly fields: { readonly [K in R]: FieldValues[K] } & { readonly [K in U]?: FieldValues[K] };
}

/** Works on one waypoint at a time; order is derived from the fields. */
export interface WaypointPlugin<
  O extends OptionDefinitions = OptionDefinitions,
  R extends FieldName = FieldName,
  U extends FieldName = FieldName,
  P extends FieldName = FieldName,
  F extends OwnFields = OwnFields,
> extends PluginBase<O> {
  readonly stage: 'waypoint';
  /** Fields without which a waypoint is not given to the plugin. */
  readonly requires: readonly R[];
  /** Fields used when there. */
  readonly uses?: readonly U[];
  readonly provides: readonly P[];
  /** Fields of its own, shown in table, GPX and report as `PLUGIN.field`. */
  readonly fields?: F;
  run(input: WaypointInput<R, U>, options: OptionValues<O>, context: PluginContext): Provided<P, NoInfer<F>>;
}

/** One waypoint with everything the waypoint plugins found. */
export interface EnrichedWaypoint {
  readonly waypoint: Waypoint;
  readonly fields: Partial<FieldValues> & Readonly<Record<string, unknown>>;
  /** Diagnostics raised for this waypoint. */
  readonly diagnostics: readonly Diagnostic[];
}

/** Works once on all enriched waypoints; returns plain data that its writer understands. */
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

/** Any plugin, as planning and running see it. */
export type Plugin = LogPlugin | SurveyPlugin | WaypointPlugin | PlanPlugin;

export const defineLogPlugin = <const O extends OptionDefinitions>(plugin: LogPlugin<O>): LogPlugin<O> =>
  plugin;

export const defineSurveyPlugin = <const O extends OptionDefinitions>(
  plugin: SurveyPlugin<O>,
): SurveyPlugin<O> => plugin;

export const defineWaypointPlugin = <
  const O extends OptionDefinitions,
  const R extends FieldName,
  const P extends FieldName,
  const U extends FieldName = never,
  const F extends OwnFields = Record<never, never>,
>(
  plugin: WaypointPlugin<O, R, U, P, F>,
): WaypointPlugin<O, R, U, P, F> => plugin;

export const definePlanPlugin = <const O extends OptionDefinitions, T>(
  plugin: PlanPlugin<O, T>,
): PlanPlugin<O, T> => plugin;
