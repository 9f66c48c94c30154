import type { Diagnostic } from './diagnostic.ts';
import type { OptionDefinitions, OptionValues } from './options.ts';
import type { PluginBase } from './plugin-base.ts';
import type { DepthReference } from './soundings.ts';
import type { LengthUnit } from './units.ts';

export interface ReaderInput {
  /** Path as the user gave it; for an entry of an archive, after the archive's path: `logs.zip/day1.csv`. */
  readonly file: string;
  readonly bytes: Uint8Array;
  /**
   * Reads the file next to this one with the same name and another extension.
   *
   * @param extension Lowercase, with the dot: `.prj`. @returns undefined when there is no such file.
   */
  sibling(extension: string): Promise<Uint8Array | undefined>;
}

/** Converts map coordinates, x east and y north in units of the system, to deg; NaN outside the system. */
export type Projection = (x: number, y: number) => readonly [lon: number, lat: number];

/** Services for a reader while it runs. The file of the input is added to diagnostics without a file. */
export interface ReaderContext {
  /** Column names in order, given with `--columns`, for text without a header. */
  readonly columns?: readonly string[];
  /** Reports something about the input; diagnostics with the same code are shown once, with a count. */
  report(diagnostic: Diagnostic): void;
  /** Counts a row without a usable sounding; the code of the diagnostic is the reason. */
  drop(diagnostic: Diagnostic): void;
  /** Reports the share of the work done, 0 to 1. */
  progress(share: number): void;
  /**
   * Returns the projection of the input's map coordinates, in the system of `--crs` or else of the file.
   *
   * @param said System stated in the file: `EPSG:nnnn` or a WKT definition.
   * @throws Refusal naming `--crs` when the option and the file disagree or the system cannot be used. The
   *   projection itself throws a Refusal at the first position if no system is known, or if that position is
   *   outside the system or far from every waypoint.
   */
  projection(said?: string): Promise<Projection>;
}

/** Soundings as columns of equal length, with values as written in the file. */
export interface ReadSoundings {
  /** deg, WGS 84. Rows out of range are dropped and counted. */
  readonly lat: Float64Array;
  readonly lon: Float64Array;
  /** In `depthUnit`, with the sign of `vertical`. Rows with NaN are dropped and counted. */
  readonly depth: Float64Array;
  /** Seconds since 1970-01-01 UTC, or since midnight when no date is known; NaN for none. */
  readonly time?: Float64Array;
  /** deg C; NaN for none. */
  readonly temperature?: Float32Array;
  /** Any number that changes at the first row of each new pass. */
  readonly pass?: Int32Array;
  /** 1-based line or record of each row, for messages; when absent, rows are counted from 1. */
  readonly line?: Uint32Array;
  /** Absent when the file states no unit; `--depth-unit` is then needed. */
  readonly depthUnit?: LengthUnit;
  /** `down` for depths, `up` for elevations; when absent, `--vertical` or unambiguous signs decide. */
  readonly vertical?: 'down' | 'up';
  /** Level that depths count from; when absent, the surface, unless the user sets another level. */
  readonly depthFrom?: DepthReference;
}

export interface ReadWaypoint {
  /** deg, WGS 84. */
  readonly lat: number;
  readonly lon: number;
  readonly name?: string;
  readonly comment?: string;
  readonly symbol?: string;
}

/** A file inside the input, or a table made from the input; goes to the first reader that accepts it. */
export interface InnerFile {
  /** Path inside the input, with an extension, such as `day1.csv`; empty for the input itself as a table. */
  readonly name: string;
  readonly bytes: Uint8Array;
  /** Column names in order, for text without a header; used instead of `--columns`. */
  readonly columns?: readonly string[];
  /** Lines before the first record. When above 0, messages count records, not lines. */
  readonly linesBefore?: number;
  /** True when the file may be no log; a rejection is then only a warning if another file can be read. */
  readonly isOptional?: boolean;
  /** Reads files next to this one in an archive. */
  readonly sibling?: ReaderInput['sibling'];
}

export interface Reading {
  readonly soundings?: Iterable<ReadSoundings> | AsyncIterable<ReadSoundings>;
  readonly waypoints?: readonly ReadWaypoint[];
  readonly files?: Iterable<InnerFile> | AsyncIterable<InnerFile>;
}

/** Reads one kind of file. The first reader that accepts an input gets it; plugins of the user come first. */
export interface ReaderPlugin<O extends OptionDefinitions = OptionDefinitions> extends PluginBase<O> {
  readonly stage: 'reader';
  /** Extensions of files to read in folders of logs, lowercase, with the dot. */
  readonly extensions: readonly string[];
  /**
   * Returns whether the input is of this kind; must not throw.
   *
   * @param head The first 64 KiB, or all of a shorter file. @param name Path as the user gave it.
   */
  sniff(head: Uint8Array, name: string): boolean;
  /** @throws Refusal when the input is of this kind but cannot be used. */
  read(input: ReaderInput, options: OptionValues<O>, context: ReaderContext): Reading | Promise<Reading>;
}

export const defineReaderPlugin = <const O extends OptionDefinitions>(plugin: ReaderPlugin<O>) => plugin;
