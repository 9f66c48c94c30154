import { readFileSync, statSync } from 'node:fs';
import { dirname } from 'node:path';
import { isMap, isScalar, isSeq, LineCounter, type Node, parseDocument } from 'yaml';
import { Refusal } from '../../shared/contract/index.ts';
import type { Given } from '../../shared/engine/index.ts';
import { configMessages as says, inputMessages as saysOfInput } from '../../shared/text/index.ts';
import { specialFileOf } from '../files/index.ts';

/** A configuration file in the form of typed options. */
export interface Config {
  readonly given: readonly Given[];
  /** The user's plugins by reference, as written; relative to `folder`. */
  readonly plugins: readonly string[];
  /**
   * Sets of options by name: for `--preset NAME`, for `--limits NAME` (those of one unit), and for logs whose names match a
   * pattern.
   */
  readonly sets: Readonly<Record<'presets' | 'limit-sets' | 'logs', ReadonlyMap<string, readonly Given[]>>>;
  readonly folder: string;
  readonly file: string;
}

/** Plugins by reference: those listed, and those among some options. */
export const pluginsNamed = ({ plugins }: Config, given: readonly Given[]): string[] => [
  ...plugins,
  ...given.flatMap(({ flag, texts }) => (flag === 'plugin' ? texts : [])),
];

/** Refuses an option of a configuration. @param expected What it should be. */
export function refuseKey({ flag, wording }: Given, expected: string): never {
  const [, file, line] = /\((.*?)(?::(\d+))?\)$/.exec(wording) ?? [];
  const place = { file, line: line === undefined ? undefined : Number(line) };
  throw new Refusal([says.key(place, flag, expected)], 2);
}

/** Configuration of a run without a configuration file. */
export const EMPTY_CONFIG: Config = {
  given: [],
  plugins: [],
  sets: { presets: new Map(), 'limit-sets': new Map(), logs: new Map() },
  folder: '.',
  file: '',
};

const MAX_BYTES = 1 << 20;

/**
 * Reads a YAML configuration with option names as on the command line, without dashes.
 *
 * A list gives an option several values. `plugins` is a list of references or of `{ plugin: REFERENCE }`. `options`
 * maps a plugin's name to a mapping of its options. `presets` and `limit-sets` map names chosen by the user to mappings
 * of option names. `logs` maps log names, with `*` for any characters, to mappings of the options that control how
 * those logs are read. Unknown keys are not reported here but when the settings are resolved.
 *
 * @throws Refusal (status 2) with file and line.
 */
export function readConfig(file: string): Config {
  const lines = new LineCounter();
  const document = parseDocument(readText(file), { lineCounter: lines, prettyErrors: false });
  const problem = document.errors[0];
  if (problem !== undefined) {
    const { line } = lines.linePos(problem.pos[0]);
    throw new Refusal([says.unreadable({ file, line }, problem.message)], 2);
  }
  const folder = dirname(file);
  if (document.contents === null) return { ...EMPTY_CONFIG, folder, file };
  if (!isMap(document.contents)) throw new Refusal([says.unreadable({ file }, 'it is not a mapping')], 2);
  const lineOf = (node: unknown): number | undefined => {
    const range = (node as Node | null)?.range;
    return range ? lines.linePos(range[0]).line : undefined;
  };
  const source: Source = {
    refuse(node, key, expected) {
      throw new Refusal([says.key({ file, line: lineOf(node) }, key, expected)], 2);
    },
    wordingOf(flag, node) {
      const line = lineOf(node);
      return `${flag} (${file}${line === undefined ? '' : `:${line}`})`;
    },
  };
  const given: Given[] = [];
  const plugins: string[] = [];
  const sets = { ...EMPTY_CONFIG.sets };
  for (const { key, value } of document.contents.items) {
    const name = textOf(key) ?? source.refuse(key, String(key), 'the name of an option');
    if (name === 'config') source.refuse(key, name, 'allowed in a configuration');
    if (name === 'plugins') plugins.push(...pluginList(source, value));
    else if (Object.hasOwn(sets, name)) sets[name as keyof typeof sets] = readSets(source, name, value);
    else if (name === 'options') given.push(...pluginOptions(source, value));
    else given.push(givenOf(source, name, value));
  }
  return { given, plugins, sets, folder, file };
}

/** The file being read, for messages about its nodes. */
interface Source {
  /** @throws Refusal saying what a key should be. */
  refuse(node: unknown, key: string, expected: string): never;
  /** How an option is written in the file. */
  wordingOf(flag: string, node: unknown): string;
}

function readText(file: string): string {
  const odd = specialFileOf(file);
  if (odd !== undefined) throw new Refusal([says.unreadable({ file }, `it is a ${odd}`)], 2);
  try {
    const { size } = statSync(file);
    if (size > MAX_BYTES) throw new Refusal([says.unreadable({ file }, `it has ${size} bytes`)], 2);
    return readFileSync(file, 'utf8');
  } catch (cause) {
    if (cause instanceof Refusal) throw cause;
    const { code } = cause as NodeJS.ErrnoException;
    throw new Refusal(
      [code === 'ENOENT' ? saysOfInput.missing({ file }) : says.unreadable({ file }, code ?? String(cause))],
      2,
    );
  }
}

const textOf = (node: unknown): string | undefined =>
  isScalar(node) && node.value !== null ? (node.source ?? String(node.value)) : undefined;

function givenOf(source: Source, flag: string, value: unknown): Given {
  const items = isSeq(value) ? value.items : [value];
  const texts = items.map((item) => textOf(item) ?? source.refuse(item, flag, 'a value or a list of values'));
  return { flag, texts, wording: source.wordingOf(flag, value) };
}

function pluginList({ refuse }: Source, value: unknown): string[] {
  if (!isSeq(value)) return refuse(value, 'plugins', 'a list of modules or packages');
  return value.items.map((item) => {
    const text = isMap(item) ? textOf(item.get('plugin', true)) : textOf(item);
    return text ?? refuse(item, 'plugins', 'module paths or package names');
  });
}

function pluginOptions(source: Source, value: unknown): Given[] {
  if (!isMap(value)) return source.refuse(value, 'options', 'a mapping of plugin names');
  return value.items.flatMap(({ key, value: options }) => {
    if (!isMap(options)) return source.refuse(options, String(key), 'a mapping of its options');
    return options.items.map((option) =>
      givenOf(source, `${textOf(key)}.${textOf(option.key)}`, option.value),
    );
  });
}

function readSets(source: Source, key: string, value: unknown): Map<string, Given[]> {
  if (!isMap(value)) return source.refuse(value, key, 'a mapping of names to mappings of options');
  const sets = value.items.map(({ key: nameNode, value: options }): [string, Given[]] => {
    const name = textOf(nameNode) ?? '';
    if (!isMap(options)) return source.refuse(options, name, 'a mapping of options');
    return [name, options.items.map((option) => givenOf(source, textOf(option.key) ?? '', option.value))];
  });
  return new Map(sets);
}
