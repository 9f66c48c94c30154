import { readFileSync, statSync } from 'node:fs';
import { dirname, isAbsolute, relative, resolve } from 'node:path';
import { isMap, isScalar, isSeq, LineCounter, type Node, type Pair, parseDocument } from 'yaml';
import { Refusal } from '../../shared/contract/index.ts';
import type { Given } from '../../shared/engine/index.ts';
import { nearNames, configMessages as says, inputMessages as saysOfInput } from '../../shared/text/index.ts';
import { specialFileOf } from '../files/index.ts';

/** The content of a configuration file, with the values of options still as text. */
export interface Config {
  readonly given: readonly Given[];
  /** The user's plugins by reference, as written; relative to `folder`. */
  readonly plugins: readonly string[];
  /** Sets of options by name: for `--preset`, for `--limits`, and for logs whose names match a pattern. */
  readonly sets: Readonly<Record<'presets' | 'limit-sets' | 'logs', ReadonlyMap<string, readonly Given[]>>>;
  readonly folder: string;
  readonly file: string;
}

/** A plugin as the user named it, and the folder from which its path or package is resolved. */
export interface PluginReference {
  readonly reference: string;
  readonly folder: string;
}

export const pluginsNamed = ({ plugins }: Config, given: readonly Given[]): string[] => [
  ...plugins,
  ...given.flatMap(({ flag, texts }) => (flag === 'plugin' ? texts : [])),
];

/** Refuses an option of a configuration. @param known Options that may be set there. */
export function refuseKey(
  { flag, wording }: Given,
  known: Iterable<string>,
  code: 'key' | 'key of-log' = 'key',
): never {
  const [, file, line] = /\((.*?)(?::(\d+))?\)$/.exec(wording) ?? [];
  const place = { file, line: line === undefined ? undefined : Number(line) };
  throw new Refusal([says[code](place, flag, nearNames(flag, known))], 2);
}

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
 * A list gives an option several values. `plugins` is a list of references or of `{ plugin: REFERENCE }`.
 * `options` maps a plugin's name to a mapping of its options. `presets` and `limit-sets` map names chosen by
 * the user to mappings of option names. `logs` maps log names, with `*` for any characters, to mappings of
 * the options that control how those logs are read. Unknown keys are reported when the settings are resolved.
 *
 * @throws Refusal (status 2) that names the file and, if there is one, the line.
 */
export function readConfig(file: string): Config {
  const lines = new LineCounter();
  const text = readText(file);
  const document = parseDocument(text, { lineCounter: lines, prettyErrors: false });
  const problem = document.errors[0];
  if (problem !== undefined) {
    const { line } = lines.linePos(problem.pos[0]);
    const place = { file, line };
    const twice = problem.code === 'DUPLICATE_KEY' ? keyAt(text, problem.pos[0]) : undefined;
    const said =
      twice === undefined
        ? says['unreadable syntax'](place, problem.message)
        : says['key twice'](place, twice);
    throw new Refusal([said], 2);
  }
  const folder = dirname(file);
  if (document.contents === null) return { ...EMPTY_CONFIG, folder, file };
  if (!isMap(document.contents))
    throw new Refusal([says.unreadable({ file }, 'it does not consist of lines "option: value"')], 2);
  const lineOf = (node: unknown): number | undefined => {
    const range = (node as Node | null)?.range;
    return range ? lines.linePos(range[0]).line : undefined;
  };
  const refuse = (node: unknown, key: string, expected: string): never => {
    const isMissing = node === null || (isScalar(node) && node.value === null);
    const code = isMissing ? 'key no-value' : 'key value';
    throw new Refusal([says[code]({ file, line: lineOf(node) }, key, expected)], 2);
  };
  const itemsOf = (node: unknown, key: string, expected: string): Pair[] =>
    isMap(node) ? node.items : refuse(node, key, expected);
  const givenOf = (flag: string, value: unknown): Given => {
    const items = isSeq(value) ? value.items : [value];
    const texts = items.map(
      (item) => textOf(item) ?? refuse(item, flag, 'one word or number, or a list of them'),
    );
    const line = lineOf(value);
    return { flag, texts, wording: `${flag} (${file}${line === undefined ? '' : `:${line}`})` };
  };
  const pluginOf = (item: unknown): string =>
    textOf(isMap(item) ? item.get('plugin', true) : item) ??
    refuse(item, 'plugins', 'a module path or a package name');
  const given: Given[] = [];
  const plugins: string[] = [];
  const sets = { ...EMPTY_CONFIG.sets };
  for (const { key, value } of document.contents.items) {
    const name = textOf(key);
    if (name === undefined || name === 'config')
      throw new Refusal([says.key({ file, line: lineOf(key) }, name ?? String(key))], 2);
    if (name === 'plugins')
      plugins.push(
        ...(isSeq(value) ? value.items : refuse(value, name, 'a list of modules or packages')).map(pluginOf),
      );
    else if (name === 'options')
      for (const { key: plugin, value: options } of itemsOf(
        value,
        name,
        'a block of plugin names, each with its options below it',
      ))
        for (const option of itemsOf(options, String(plugin), 'a block of lines "option: value"'))
          given.push(givenOf(`${textOf(plugin)}.${textOf(option.key)}`, option.value));
    else if (Object.hasOwn(sets, name)) {
      const named = itemsOf(value, name, 'a block of names, each with lines "option: value" below it').map(
        ({ key: set, value: options }) => {
          const items = itemsOf(options, textOf(set) ?? '', 'a block of lines "option: value"');
          return [textOf(set) ?? '', items.map((one) => givenOf(textOf(one.key) ?? '', one.value))] as const;
        },
      );
      sets[name as keyof typeof sets] = new Map(named);
    } else given.push(givenOf(name, value));
  }
  return { given, plugins, sets, folder, file };
}

/** Returns the key that starts at an offset of a configuration. */
const keyAt = (text: string, offset: number): string => /^[^:\r\n]*/.exec(text.slice(offset))![0].trim();

const textOf = (node: unknown): string | undefined =>
  isScalar(node) && node.value !== null ? (node.source ?? String(node.value)) : undefined;

function readText(file: string): string {
  const odd = specialFileOf(file);
  if (odd !== undefined) throw new Refusal([says.unreadable({ file }, `it is a ${odd}`)], 2);
  try {
    const { size } = statSync(file);
    if (size > MAX_BYTES)
      throw new Refusal([says.unreadable({ file }, `it is larger than ${MAX_BYTES / 2 ** 20} MiB`)], 2);
    return readFileSync(file, 'utf8');
  } catch (cause) {
    if (cause instanceof Refusal) throw cause;
    const { code } = cause as NodeJS.ErrnoException;
    const said =
      code === 'ENOENT' ? saysOfInput.missing({ file }) : says.unreadable({ file }, code ?? String(cause));
    throw new Refusal([said], 2);
  }
}

/** Makes a path from a configuration file relative to the working folder; an absolute path is unchanged. */
export function fromConfigFolder(folder: string, path: string): string {
  if (path === '-' || isAbsolute(path)) return path;
  return relative('', resolve(folder, path)) || '.';
}
