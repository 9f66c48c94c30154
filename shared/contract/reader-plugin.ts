import type { Diagnostic } from './diagnostic.ts';
import type { OptionDefinitions, OptionValues } from './options.ts';
import type { PluginBase } from './plugin-base.ts';
import type { DepthReference } from './soundings.ts';
import type { LengthUnit } from './units.ts';

export interface ReaderInput {
  /** Path as the user gave it. A file inside an archive has both paths: `logs.zip/day1.csv`. */
  readonly file: string;
  readonly bytes: Uint8Array;
  /**
   * Reads the file next to this one with the same name and another extension, in lowercase or uppercase.
   *
   * @param extension Lowercase, with the dot: `.prj`. @returns undefined when there is no such file.
   */
  sibling(extension: string): Promise<Uint8Array | undefined>;
}

/** Converts map coordinates, x east and y north in the system's unit, to deg; NaN outside the system. */
export type Projection = (x: number, y: number) => readonly [lon: number, lat: number];

/** Services for a reader while it runs. Diagnostics without a file get the file of the input. */
export interface ReaderContext {
  /** Column names in order, for text without a header: from `InnerFile.columns` or `--columns`. */
  readonly columns?: readonly string[];
  /** Reports something about the input. Of diagnostics with equal codes, the first is shown, with a count. */
  report(diagnostic: Diagnostic): void;
  /** Counts a row as dropped, with the code of the diagnostic as the reason. */
  drop(diagnostic: Diagnostic): void;
  /** Reports the share of the work done, 0 to 1. */
  progress(share: number): void;
  /**
   * Returns the projection of the input's map coordinates. The system is that of `--crs`, or of the file.
   *
   * @param said System stated in the file: `EPSG:nnnn` or a WKT definition.
   * @throws Refusal naming `--crs` when the option and the file state different EPSG numbers, or when the
   *   system cannot be used. The projection itself throws a Refusal at its first position if no system is
   *   known, or if this position is outside the system or far from every waypoint.
   */
  projection(said?: string): Promise<Projection>;
}

/** Soundings as columns of equal length, with values as written in the file. */
export interface ReadSoundings {
  /** deg, WGS 84. Rows without a valid position are dropped and counted. */
  readonly lat: Float64Array;
  /** deg, WGS 84, [-180, 360]. */
  readonly lon: Float64Array;
  /** In `depthUnit`, with the sign of `vertical`. Rows without a valid depth are dropped and counted. */
  readonly depth: Float64Array;
  /** Seconds since 1970-01-01 UTC, or since midnight when no date is known; NaN for no time. */
  readonly time?: Float64Array;
  /** deg C; NaN where not logged. */
  readonly temperature?: Float32Array;
  /** Any numbers that change at the first row of each new pass. */
  readonly pass?: Int32Array;
  /** 1-based line or record of each row, for messages; when absent, rows are counted from 1. */
  readonly line?: Uint32Array;
  /** What `line` counts in a file without lines, such as `point`. Default `row` when `line` is absent. */
  readonly record?: string;
  /** Absent when the file states no unit; `--depth-unit` is then needed. */
  readonly depthUnit?: LengthUnit;
  /** `down` for depths, `up` for elevations. If absent, `--vertical` or the signs decide. */
  readonly vertical?: 'down' | 'up';
  /** Level that depths are measured from; absent when unknown. `draft-offset` decides what is added. */
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

/** A file inside the input, to be read like any file, or a table made from the input. */
export interface InnerFile {
  /** Path inside the input, with an extension, such as `day1.csv`; empty for a CSV table of the input. */
  readonly name: string;
  readonly bytes: Uint8Array;
  /** Column names in order, for text without a header; used instead of `--columns`. */
  readonly columns?: readonly string[];
  /** What a row of a table made from the input is there, such as `point`. Messages count these, not lines. */
  readonly record?: string;
  /** True when the file might not be a log: a rejection is only a warning if another file can be read. */
  readonly isOptional?: boolean;
  /** Reads files next to this one in an archive. */
  readonly sibling?: ReaderInput['sibling'];
}

export interface Reading {
  readonly soundings?: Iterable<ReadSoundings> | AsyncIterable<ReadSoundings>;
  readonly waypoints?: readonly ReadWaypoint[];
  readonly files?: Iterable<InnerFile> | AsyncIterable<InnerFile>;
}

/** Reads one kind of file. The first reader that accepts an input reads it; the user's readers come first. */
export interface ReaderPlugin<O extends OptionDefinitions = OptionDefinitions> extends PluginBase<O> {
  readonly stage: 'reader';
  /** Extensions of files to read in folders of logs, lowercase, with the dot. */
  readonly extensions: readonly string[];
  /**
   * Returns whether the input is of this kind; must not throw.
   *
   * @param head The first 64 KiB, or all of a shorter file. @param name As `ReaderInput.file`.
   */
  sniff(head: Uint8Array, name: string): boolean;
  /** @throws Refusal when the input is of this kind but cannot be used. */
  read(input: ReaderInput, options: OptionValues<O>, context: ReaderContext): Reading | Promise<Reading>;
}

export const defineReaderPlugin = <const O extends OptionDefinitions>(plugin: ReaderPlugin<O>) => plugin;
