import type { Diagnostic } from './diagnostic.ts';

interface OptionBase {
  /** One sentence for `--help` and the docs. */
  readonly help: string;
  /** Short name on the command line, `--FLAG`, in addition to `--PLUGIN.OPTION`. */
  readonly flag?: string;
  /** True for a path; in a configuration file, the path is relative to the folder of that file. */
  readonly isPath?: boolean;
}

/**
 * A number; the plugin gets a `length`, `distance`, `speed` or `angle` in m, m, m/s or degrees.
 *
 * A `distance` is a length over the water; without a unit suffix it is in yards when depths are in feet.
 */
export interface NumberOption extends OptionBase {
  readonly kind: 'number' | 'count' | 'length' | 'distance' | 'speed' | 'angle' | 'seconds';
  readonly min?: number;
  readonly max?: number;
  /** True when `min` itself is out of range. */
  readonly exclusiveMin?: boolean;
  readonly default?: number;
}

/** Two depths `A-B`, shallow first; the plugin gets `{ top, bottom }` in m, or undefined. */
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

/** Free text that must match `pattern` as a whole; `expected` describes the pattern for messages. */
export interface TextOption extends OptionBase {
  readonly kind: 'text';
  readonly pattern?: RegExp;
  /** Returns false for a text that matches `pattern` but makes no sense, such as an impossibly thin line. */
  readonly isValid?: (text: string) => boolean;
  readonly expected?: string;
  readonly default?: string;
}

/** A day `YYYY-MM-DD`; the command line, never a plugin, replaces the default `today`. */
export interface DateOption extends OptionBase {
  readonly kind: 'date';
  readonly default?: 'today';
}

/** Several texts, separated by commas or given in repeated flags; paths are not split at commas. */
export interface ListOption extends OptionBase {
  readonly kind: 'list';
  /** True when several values may follow one flag, up to the next flag. */
  readonly isVariadic?: boolean;
  readonly default?: readonly string[];
}

/** A file from the user, read before anything runs; the plugin gets its content. */
export type FileOption = OptionBase & {
  readonly kind: 'file';
  readonly default?: undefined;
} & (CheckedFile<'csv', CsvFile> | CheckedFile<'json', JsonFile>);

interface CheckedFile<F, C> {
  readonly format: F;
  /** Reports what is wrong with the content, before anything runs; an error rejects the file. */
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

/** An option that names a file or folder. */
export const pathOption = (flag: string, help: string) =>
  ({ kind: 'text', isPath: true, flag, help }) as const satisfies OptionDefinition;

/** An option that names several files or folders, after one flag or several. */
export const pathsOption = (flag: string, help: string) =>
  ({ kind: 'list', isPath: true, isVariadic: true, flag, help }) as const satisfies OptionDefinition;

export const switchOption = (flag: string, help: string, isOn = false) =>
  ({ kind: 'switch', default: isOn, flag, help }) as const satisfies OptionDefinition;

/** A CSV file as rows of text by column name (lowercase, trimmed), with the physical line number of each row. */
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

/** Type of an option's value as the plugin gets it; may be undefined only when the option has no default. */
export type OptionValue<D> = D extends { readonly default: infer V }
  ? V extends undefined
    ? Content<D> | undefined
    : Content<D>
  : Content<D> | undefined;

export type OptionValues<O> = { readonly [K in keyof O]: OptionValue<O[K]> };

/** The default of every option that has one. */
export const defaultsOf = <O extends OptionDefinitions>(options: O): OptionValues<O> =>
  Object.fromEntries(
    Object.entries(options).flatMap(([name, { default: value }]) =>
      value === undefined ? [] : [[name, value]],
    ),
  ) as OptionValues<O>;
