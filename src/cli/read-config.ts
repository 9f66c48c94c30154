import { readFileSync, statSync } from 'node:fs';
import { dirname } from 'node:path';
import { isMap, isScalar, isSeq, LineCounter, type Node, parseDocument } from 'yaml';
import { Refusal } from '../../shared/contract/index.ts';
import type { Given } from '../../shared/engine/index.ts';
import { configKey, configUnreadable, inputMissing } from '../../shared/text/index.ts';
import { specialFileOf } from '../files/index.ts';
import { type Config, EMPTY_CONFIG } from './config.ts';

/** Greatest size of a configuration that is read, bytes. */
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
    throw new Refusal([{ ...configUnreadable(file, problem.message), place: { file, line } }], 2);
  }
  const folder = dirname(file);
  if (document.contents === null) return { ...EMPTY_CONFIG, folder, file };
  if (!isMap(document.contents)) throw new Refusal([configUnreadable(file, 'it is not a mapping')], 2);
  const given: Given[] = [];
  const plugins: string[] = [];
  let presets = new Map<string, Given[]>();
  let limitSets = new Map<string, Given[]>();
  let logSets = new Map<string, Given[]>();
  const lineOf = (node: unknown): number | undefined => {
    const range = (node as Node | null)?.range;
    return range ? lines.linePos(range[0]).line : undefined;
  };
  for (const { key, value } of document.contents.items) {
    const name = textOf(key);
    if (name === undefined)
      throw new Refusal([configKey(file, lineOf(key), String(key), 'the name of an option')], 2);
    if (name === 'config')
      throw new Refusal([configKey(file, lineOf(key), name, 'allowed in a configuration')], 2);
    if (name === 'plugins') plugins.push(...pluginList(file, value, lineOf));
    else if (name === 'presets') presets = readSets(file, name, value, lineOf);
    else if (name === 'limit-sets') limitSets = readSets(file, name, value, lineOf);
    else if (name === 'logs') logSets = readSets(file, name, value, lineOf);
    else if (name === 'options') given.push(...pluginOptions(file, value, lineOf));
    else given.push(givenOf(file, name, value, lineOf));
  }
  return { given, plugins, presets, limitSets, logSets, folder, file };
}

type LineOf = (node: unknown) => number | undefined;

function readText(file: string): string {
  const odd = specialFileOf(file);
  if (odd !== undefined) throw new Refusal([configUnreadable(file, `it is a ${odd}`)], 2);
  try {
    const { size } = statSync(file);
    if (size > MAX_BYTES) throw new Refusal([configUnreadable(file, `it has ${size} bytes`)], 2);
    return readFileSync(file, 'utf8');
  } catch (cause) {
    if (cause instanceof Refusal) throw cause;
    const { code } = cause as NodeJS.ErrnoException;
    throw new Refusal(
      [code === 'ENOENT' ? inputMissing(file) : configUnreadable(file, code ?? String(cause))],
      2,
    );
  }
}

const textOf = (node: unknown): string | undefined =>
  isScalar(node) && node.value !== null ? (node.source ?? String(node.value)) : undefined;

function givenOf(file: string, flag: string, value: unknown, lineOf: LineOf): Given {
  const items = isSeq(value) ? value.items : [value];
  const texts = items.map((item) => {
    const text = textOf(item);
    if (text === undefined)
      throw new Refusal([configKey(file, lineOf(item), flag, 'a value or a list of values')], 2);
    return text;
  });
  const line = lineOf(value);
  return { flag, texts, wording: `${flag} (${file}${line === undefined ? '' : `:${line}`})` };
}

function pluginList(file: string, value: unknown, lineOf: LineOf): string[] {
  if (!isSeq(value))
    throw new Refusal([configKey(file, lineOf(value), 'plugins', 'a list of modules or packages')], 2);
  return value.items.map((item) => {
    const text = isMap(item) ? textOf(item.get('plugin', true)) : textOf(item);
    if (text === undefined)
      throw new Refusal([configKey(file, lineOf(item), 'plugins', 'module paths or package names')], 2);
    return text;
  });
}

function pluginOptions(file: string, value: unknown, lineOf: LineOf): Given[] {
  if (!isMap(value))
    throw new Refusal([configKey(file, lineOf(value), 'options', 'a mapping of plugin names')], 2);
  return value.items.flatMap(({ key, value: options }) => {
    if (!isMap(options))
      throw new Refusal([configKey(file, lineOf(options), String(key), 'a mapping of its options')], 2);
    return options.items.map((option) =>
      givenOf(file, `${textOf(key)}.${textOf(option.key)}`, option.value, lineOf),
    );
  });
}

function readSets(file: string, key: string, value: unknown, lineOf: LineOf): Map<string, Given[]> {
  const expected = 'a mapping of names to mappings of options';
  if (!isMap(value)) throw new Refusal([configKey(file, lineOf(value), key, expected)], 2);
  const sets = value.items.map(({ key: nameNode, value: options }): [string, Given[]] => {
    const name = textOf(nameNode) ?? '';
    if (!isMap(options))
      throw new Refusal([configKey(file, lineOf(options), name, 'a mapping of options')], 2);
    return [
      name,
      options.items.map((option) => givenOf(file, textOf(option.key) ?? '', option.value, lineOf)),
    ];
  });
  return new Map(sets);
}
