import type { Unseen } from './bottom-model.ts';
import type { Diagnostic } from './diagnostic.ts';
import type { FieldDefinition, FieldName, FieldValues } from './fields.ts';
import type { LakeBottom, UncertainLakeBottom } from './lake-bottom.ts';
import type { OptionDefinitions, OptionValues, TextOption } from './options.ts';
import type { LogSummary, SoundingIndex, SoundingLog, Soundings, Survey } from './soundings.ts';
import type { DisplayUnits, LengthUnit } from './units.ts';
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

/** One input as a reader is given it. */
export interface ReaderInput {
  /** Path as the user gave it; inside an archive the archive's path and the entry's: `logs.zip/day1.csv`. */
  readonly file: string;
  /** The whole content. */
  readonly bytes: Uint8Array;
  /**
   * Content of the file beside this one that has the same name and another extension.
   *
   * @param extension Lower-case, with the dot: `.prj`. @returns undefined when there is none.
   */
  sibling(extension: string): Promise<Uint8Array | undefined>;
}

/** From map coordinates (x to the east, y to the north, in the units of their system) to degrees; NaN where there is no such place. */
export type Projection = (x: number, y: number) => readonly [lon: number, lat: number];

/** What a reader may do besides returning. A diagnostic without a file gets that of the input. */
export interface ReaderContext {
  /** Columns in order as `--columns` says, for text without a header. */
  readonly columns?: readonly string[];
  /** Says something about the input; repeated codes are said once, with their count. */
  report(diagnostic: Diagnostic): void;
  /** Counts a row that holds no sounding; the code of the diagnostic is the reason. */
  drop(diagnostic: Diagnostic): void;
  /** Share of the work done, 0 to 1. */
  progress(share: number): void;
  /**
   * The map coordinates of this input: those that `--crs` names, else those that the file itself does.
   *
   * @param said `EPSG:nnnn` or a definition as WKT, when the file says one; undefined when it says nothing.
   * Where neither says it, the projection refuses the first place, naming `--crs`; so it does where that lies outside
   * the system, or far from every waypoint.
   * @throws Refusal naming `--crs` when both say different things, or the system cannot be used.
   */
  projection(said?: string): Promise<Projection>;
}

/** Soundings as a reader finds them: parallel columns of equal length, values as written in the file. */
export interface ReadSoundings {
  /** deg, WGS 84; rows out of range are dropped and counted. */
  readonly lat: Float64Array;
  readonly lon: Float64Array;
  /** In `depthUnit`, with the sign of `vertical`; NaN for none: dropped and counted. */
  readonly depth: Float64Array;
  /** Seconds since 1970-01-01 UTC, or since midnight where no day is known; NaN for none. */
  readonly time?: Float64Array;
  /** deg C; NaN for none. */
  readonly temperature?: Float32Array;
  /** Number that changes where the boat began a new pass. */
  readonly pass?: Int32Array;
  /** 1-based line or record of each row, for messages; counted from 1 when absent. */
  readonly line?: Uint32Array;
  /** Absent where the file does not say: `--depth-unit` is asked for. */
  readonly depthUnit?: LengthUnit;
  /** `down` for depths, `up` for elevations; absent where the file does not say: `--vertical`, or signs that leave no doubt. */
  readonly vertical?: 'down' | 'up';
}

/** A waypoint as a reader finds it. */
export interface ReadWaypoint {
  /** deg, WGS 84. */
  readonly lat: number;
  readonly lon: number;
  readonly name?: string;
  readonly comment?: string;
  readonly symbol?: string;
}

/** A file inside a file, or a table made of one: it is read in its turn, by whatever reader knows it. */
export interface InnerFile {
  /** Name with an extension; it counts from the input's: `day1.csv`. Empty for the input itself as a table. */
  readonly name: string;
  readonly bytes: Uint8Array;
  /** Columns in order, where the text has no header; as `--columns`. */
  readonly columns?: readonly string[];
  /** Lines before the first record, where messages are to count records; 0 when absent. */
  readonly linesBefore?: number;
  /** It may well be no log: where it is refused, that is a warning as long as another file is read. */
  readonly isOptional?: boolean;
  /** Files beside it in an archive. */
  readonly sibling?: ReaderInput['sibling'];
}

/** What a reader makes of an input: any of these. */
export interface Reading {
  readonly soundings?: Iterable<ReadSoundings> | AsyncIterable<ReadSoundings>;
  readonly waypoints?: readonly ReadWaypoint[];
  readonly files?: Iterable<InnerFile> | AsyncIterable<InnerFile>;
}

/** Reads one kind of file. The first reader whose `sniff` takes an input reads it; the user's own are asked first. */
export interface ReaderPlugin<O extends OptionDefinitions = OptionDefinitions> extends PluginBase<O> {
  readonly stage: 'reader';
  /** Lower-case, with the dot; files so named are looked at in folders of logs. */
  readonly extensions: readonly string[];
  /**
   * Whether the input is of this kind; must not throw.
   *
   * @param head The first 64 KiB, or the whole of a shorter file. @param name Path as the user gave it.
   */
  sniff(head: Uint8Array, name: string): boolean;
  /** @throws Refusal when the input is of this kind and cannot be used. */
  read(input: ReaderInput, options: OptionValues<O>, context: ReaderContext): Reading | Promise<Reading>;
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

/** Fields of a plugin of the user, named `PLUGIN.field`. */
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
  /** What the lake hides between its passes, estimated once a run; for plugins with `readsUnseen` only. */
  readonly unseen?: Unseen;
  /** The whole lake's bottom, lines and areas; for plugins with `readsLake` only, and only where the lake could be modeled. */
  readonly lake?: LakeBottom;
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
  /** True: it is given what the lake hides between its passes (`unseen`). */
  readonly readsUnseen?: boolean;
  /** True: it is given the whole lake (`lake`). */
  readonly readsLake?: boolean;
  /** Fields of its own, shown in table, GPX and report as `PLUGIN.field`. */
  readonly fields?: F;
  run(input: WaypointInput<R, U>, options: OptionValues<O>, context: PluginContext): Provided<P, NoInfer<F>>;
}

/** What a refiner may return: fields it changes, any of them left as they are; nothing else. */
export type Changed<C extends FieldName> = { readonly [K in C]?: FieldValues[K] } & {
  readonly [K in Exclude<FieldName, C>]?: never;
};

/**
 * Changes fields that other plugins provide, after them and before whoever reads those fields.
 *
 * A waypoint that has none of them is not given to it. The value before and the one after are both said of the waypoint
 * (`plugin/refined`).
 */
export interface RefinePlugin<
  O extends OptionDefinitions = OptionDefinitions,
  R extends FieldName = FieldName,
  U extends FieldName = FieldName,
  C extends FieldName = FieldName,
> extends PluginBase<O> {
  readonly stage: 'refine';
  /** Fields without which a waypoint is not given to the plugin. */
  readonly requires: readonly R[];
  /** Fields used when there. */
  readonly uses?: readonly U[];
  /** Fields it may change: text, words and numbers, which are given to it when there. */
  readonly changes: readonly C[];
  run(input: WaypointInput<R, U | C>, options: OptionValues<O>, context: PluginContext): Changed<C>;
}

/** A plugin that works on one waypoint at a time. */
export type AnyWaypointPlugin = WaypointPlugin | RefinePlugin;

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

/** Everything that a run found, for writers; nothing in it may be changed. */
export interface FinishedRun {
  readonly waypoints: readonly EnrichedWaypoint[];
  /** All soundings, cleaned, reduced, on the plan's water level. */
  readonly survey: Survey;
  /** Fields that the table shows, in order. */
  readonly fields: readonly (readonly [name: string, definition: FieldDefinition])[];
  /** Units that the user reads. */
  readonly units: DisplayUnits;
  /** The whole lake; absent where no waypoint plugin reads it or it could not be modeled. */
  readonly lake?: UncertainLakeBottom | undefined;
}

/** A file that a writer makes. */
export interface OutputFile {
  /** Path below the folder of the option `out`, with `/`. */
  readonly name: string;
  readonly content: string | Uint8Array;
}

/** A position that a writer adds to the enriched GPX, beside a waypoint. */
export interface WriterPosition {
  /** The waypoint, of those of the run. */
  readonly of: EnrichedWaypoint;
  /** One of the `suffixes` of the writer: what is put after the waypoint's name. */
  readonly suffix: string;
  /** deg, WGS 84. */
  readonly lat: number;
  readonly lon: number;
  /** One line. */
  readonly comment: string;
  readonly symbol?: string;
}

/** Options of a writer: `out`, a text that is a path, is the folder that its files go to; without it the writer does not run. */
export type WriterOptions = OptionDefinitions & { readonly out: TextOption };

/** Makes files of a finished run. They are written with all other outputs, each whole or not at all. */
export interface WriterPlugin<O extends WriterOptions = WriterOptions> extends PluginBase<O> {
  readonly stage: 'writer';
  /** Fields that no table shows and that the files are made from, such as `bottom`. */
  readonly requires: readonly FieldName[];
  /** Names that are always among the files, so that one that is in the way is refused before any work. */
  readonly files?: readonly string[];
  /** Suffixes of its positions, of one to three capitals, such as `W`. No two plugins share one, and `D`, `U` and `A` are ours. */
  readonly suffixes?: readonly string[];
  /**
   * Positions for the enriched GPX. They go there as boat positions do: a later run replaces them, what the user put
   * on them is carried over, and `undo` takes them out. Asked for whether or not `out` is given.
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

/** Any plugin, as planning and running see it. */
export type Plugin =
  | ReaderPlugin
  | LogPlugin
  | SurveyPlugin
  | WaypointPlugin
  | RefinePlugin
  | PlanPlugin
  | WriterPlugin;

export const defineWriterPlugin = <const O extends WriterOptions>(plugin: WriterPlugin<O>): WriterPlugin<O> =>
  plugin;

export const defineReaderPlugin = <const O extends OptionDefinitions>(
  plugin: ReaderPlugin<O>,
): ReaderPlugin<O> => plugin;

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

export const defineRefinePlugin = <
  const O extends OptionDefinitions,
  const R extends FieldName,
  const C extends FieldName,
  const U extends FieldName = never,
>(
  plugin: RefinePlugin<O, R, U, C>,
): RefinePlugin<O, R, U, C> => plugin;

export const definePlanPlugin = <const O extends OptionDefinitions, T>(
  plugin: PlanPlugin<O, T>,
): PlanPlugin<O, T> => plugin;
