import type { Diagnostic } from './diagnostic.ts';
import type { OptionDefinitions, OptionValues } from './options.ts';
import type { PluginBase } from './plugin-base.ts';
import type { DepthReference } from './soundings.ts';
import type { LengthUnit } from './units.ts';

/** One input of a reader. */
export interface ReaderInput {
  /** Path as the user gave it; for an entry of an archive, after the archive's path: `logs.zip/day1.csv`. */
  readonly file: string;
  /** The whole content. */
  readonly bytes: Uint8Array;
  /**
   * Content of the file next to this one with the same name and a different extension.
   *
   * @param extension Lowercase, with the dot: `.prj`. @returns undefined when there is no such file.
   */
  sibling(extension: string): Promise<Uint8Array | undefined>;
}

/** Converts map coordinates (x east, y north, in units of their system) to degrees; NaN outside the system. */
export type Projection = (x: number, y: number) => readonly [lon: number, lat: number];

/** Services for a reader while it runs. A diagnostic without a file gets the input's file. */
export interface ReaderContext {
  /** Column names in order, from `--columns`, for text without a header. */
  readonly columns?: readonly string[];
  /** Reports something about the input; repeated codes are shown once, with their count. */
  report(diagnostic: Diagnostic): void;
  /** Counts a row without a usable sounding; the code of the diagnostic is the reason. */
  drop(diagnostic: Diagnostic): void;
  /** Share of the work done, 0 to 1. */
  progress(share: number): void;
  /**
   * Projection of this input's map coordinates: from the system named by `--crs` or, without it, stated in
   * the file.
   *
   * @param said `EPSG:nnnn` or a WKT definition stated in the file; undefined when the file states none.
   * @throws Refusal naming `--crs` when the option and the file disagree or the system cannot be used. The
   *   projection itself throws a Refusal for the first place when no system is stated, or when that place is
   *   outside the system or far from every waypoint.
   */
  projection(said?: string): Promise<Projection>;
}

/** Soundings as read: parallel columns of equal length, values as written in the file. */
export interface ReadSoundings {
  /** deg, WGS 84; rows out of range are dropped and counted. */
  readonly lat: Float64Array;
  readonly lon: Float64Array;
  /** In `depthUnit`, with the sign convention of `vertical`; rows with NaN are dropped and counted. */
  readonly depth: Float64Array;
  /** Seconds since 1970-01-01 UTC, or since midnight when no date is known; NaN for none. */
  readonly time?: Float64Array;
  /** deg C; NaN for none. */
  readonly temperature?: Float32Array;
  /** A number that changes where the boat begins a new pass. */
  readonly pass?: Int32Array;
  /** 1-based line or record number of each row, for messages; when absent, rows are counted from 1. */
  readonly line?: Uint32Array;
  /** Absent when the file states no unit; the user is then asked for `--depth-unit`. */
  readonly depthUnit?: LengthUnit;
  /** `down` for depths, `up` for elevations; when absent, `--vertical` or unambiguous signs decide. */
  readonly vertical?: 'down' | 'up';
  /** Absent when the file states no level; depths are then from the surface unless the user sets another. */
  readonly depthFrom?: DepthReference;
}

/** A waypoint as read. */
export interface ReadWaypoint {
  /** deg, WGS 84. */
  readonly lat: number;
  readonly lon: number;
  readonly name?: string;
  readonly comment?: string;
  readonly symbol?: string;
}

/** A file inside a file, or a table extracted from one; read by the first reader that recognizes it. */
export interface InnerFile {
  /** Name with an extension, relative to the input's: `day1.csv`. Empty for the input itself as a table. */
  readonly name: string;
  readonly bytes: Uint8Array;
  /** Column names in order when the text has no header; same as `--columns`. */
  readonly columns?: readonly string[];
  /** Number of lines before the first record, when messages should count records; 0 when absent. */
  readonly linesBefore?: number;
  /** True when the file may not be a log: its rejection is then only a warning if another file is read. */
  readonly isOptional?: boolean;
  /** Finds files next to this one in an archive. */
  readonly sibling?: ReaderInput['sibling'];
}

/** What a reader gets out of an input: any of these. */
export interface Reading {
  readonly soundings?: Iterable<ReadSoundings> | AsyncIterable<ReadSoundings>;
  readonly waypoints?: readonly ReadWaypoint[];
  readonly files?: Iterable<InnerFile> | AsyncIterable<InnerFile>;
}

/** Reads one kind of file. An input goes to the first reader that accepts it, the user's plugins first. */
export interface ReaderPlugin<O extends OptionDefinitions = OptionDefinitions> extends PluginBase<O> {
  readonly stage: 'reader';
  /** Lowercase, with the dot; files with these extensions are read from folders of logs. */
  readonly extensions: readonly string[];
  /**
   * Whether the input is of this kind; must not throw.
   *
   * @param head The first 64 KiB, or the whole of a shorter file. @param name Path as the user gave it.
   */
  sniff(head: Uint8Array, name: string): boolean;
  /** @throws Refusal when the input is of this kind but cannot be used. */
  read(input: ReaderInput, options: OptionValues<O>, context: ReaderContext): Reading | Promise<Reading>;
}

export const defineReaderPlugin = <const O extends OptionDefinitions>(plugin: ReaderPlugin<O>) => plugin;
