import type { Diagnostic } from './diagnostic.ts';

interface OptionBase {
  /** One or more sentences, shown by `--help`. */
  readonly help: string;
  /** Short name: the command line accepts `--FLAG` in addition to `--PLUGIN.OPTION`. */
  readonly flag?: string;
  /** True for a path. A path in a configuration file is relative to the folder of that file. */
  readonly isPath?: boolean;
}

/**
 * A number. The plugin gets lengths and distances in m, speeds in m/s, angles in deg, times in s.
 *
 * A `distance` is a length over the water: a number without a unit is in yards for a user who chose feet.
 */
export interface NumberOption extends OptionBase {
  readonly kind: 'number' | 'count' | 'length' | 'distance' | 'speed' | 'angle' | 'seconds';
  readonly min?: number;
  readonly max?: number;
  /** True when `min` itself is out of range. */
  readonly exclusiveMin?: boolean;
  readonly default?: number;
}

/** Two depths `A-B`, the shallower first; the plugin gets `DepthRange`, m. */
export interface RangeOption extends OptionBase {
  readonly kind: 'range';
  readonly default?: DepthRange;
}

export interface DepthRange {
  readonly top: number;
  readonly bottom: number;
}

export interface ChoiceOption extends OptionBase {
  readonly kind: 'choice';
  readonly choices: readonly string[];
  readonly default?: string;
}

export interface SwitchOption extends OptionBase {
  readonly kind: 'switch';
  readonly default: boolean;
}

export interface TextOption extends OptionBase {
  readonly kind: 'text';
  /** Must match the whole text. */
  readonly pattern?: RegExp;
  /** Returns false for a text that matches `pattern` but makes no sense, such as an impossibly thin line. */
  readonly isValid?: (text: string) => boolean;
  /** Description of a valid text, for messages. */
  readonly expected?: string;
  readonly default?: string;
}

/** A day; the plugin gets `YYYY-MM-DD`. `today` is replaced too, so that no plugin reads the clock. */
export interface DateOption extends OptionBase {
  readonly kind: 'date';
  readonly default?: 'today';
}

/** Several texts, separated by commas (except paths) or given by repeated flags. */
export interface ListOption extends OptionBase {
  readonly kind: 'list';
  /** True when several values may follow one flag, up to the next flag. */
  readonly isVariadic?: boolean;
  /** Returns false for an item that cannot be meant. */
  readonly isValid?: (item: string) => boolean;
  /** Description of a valid item, for messages. */
  readonly expected?: string;
  readonly default?: readonly string[];
}

/** A user's file, read before anything runs; the plugin gets the content. */
export type FileOption = OptionBase & {
  readonly kind: 'file';
  readonly default?: undefined;
} & (CheckedFile<'csv', CsvFile> | CheckedFile<'json', JsonFile>);

interface CheckedFile<F, C> {
  readonly format: F;
  /** Returns the faults of the content. An error rejects the file before anything runs. */
  readonly check?: (content: C) => readonly Diagnostic[];
}

export type OptionDefinition =
  | NumberOption
  | RangeOption
  | ChoiceOption
  | SwitchOption
  | TextOption
  | DateOption
  | ListOption
  | FileOption;

export type OptionDefinitions = Readonly<Record<string, OptionDefinition>>;

export const pathOption = (flag: string, help: string) =>
  ({ kind: 'text', isPath: true, flag, help }) as const satisfies OptionDefinition;

/** Defines an option that names several files or folders, after one flag or several. */
export const pathsOption = (flag: string, help: string) =>
  ({ kind: 'list', isPath: true, isVariadic: true, flag, help }) as const satisfies OptionDefinition;

export const switchOption = (flag: string, help: string, isOn = false) =>
  ({ kind: 'switch', default: isOn, flag, help }) as const satisfies OptionDefinition;

/** A CSV file as rows of text by column name (lowercase, trimmed), with the 1-based line of each row. */
export interface CsvFile {
  readonly file: string;
  readonly header: readonly string[];
  readonly rows: readonly { readonly line: number; readonly values: Readonly<Record<string, string>> }[];
}

export interface JsonFile {
  readonly file: string;
  readonly value: unknown;
}

type Content<D> = D extends NumberOption
  ? number
  : D extends RangeOption
    ? DepthRange
    : D extends ChoiceOption
      ? D['choices'][number]
      : D extends SwitchOption
        ? boolean
        : D extends ListOption
          ? readonly string[]
          : D extends FileOption
            ? D['format'] extends 'csv'
              ? CsvFile
              : JsonFile
            : string;

/** Value of an option, as the plugin gets it; undefined only if not given and without a default. */
export type OptionValue<D> = D extends { readonly default: infer V }
  ? V extends undefined
    ? Content<D> | undefined
    : Content<D>
  : Content<D> | undefined;

export type OptionValues<O> = { readonly [K in keyof O]: OptionValue<O[K]> };

export const defaultsOf = <O extends OptionDefinitions>(options: O): OptionValues<O> =>
  Object.fromEntries(
    Object.entries(options).flatMap(([name, { default: value }]) =>
      value === undefined ? [] : [[name, value]],
    ),
  ) as OptionValues<O>;
