import { readFileSync, statSync } from 'node:fs';
import { basename, dirname, isAbsolute, join, relative } from 'node:path';
import { isMap, isScalar, isSeq, LineCounter, type Node, parseDocument, type YAMLMap } from 'yaml';
import { Refusal } from '../../../shared/contract/index.ts';
import { batchMessages as says, inputMessages as saysOfInput } from '../../../shared/text/index.ts';
import { fromConfigFolder } from '../load-plugins.ts';
import { type LakeJob, lakeFolderJob, lakeJob } from './lake-folder.ts';
import { pathFlags } from './outside-access.ts';

/**
 * Jobs from the paths a user gave: lake folders, and YAML files that list several lakes.
 *
 * @param extra Arguments of `enrich` for every job.
 * @throws Refusal for a path that does not exist, or a list that cannot be read.
 */
export const readJobs = (paths: readonly string[], extra: readonly string[]): LakeJob[] =>
  paths.flatMap((path) => {
    const isFolder = statSync(path, { throwIfNoEntry: false })?.isDirectory();
    if (isFolder === undefined) throw new Refusal([saysOfInput.missing({ file: path })]);
    return isFolder ? lakeFolderJob(path, extra) : readJobList(path, extra);
  });

function readJobList(file: string, extra: readonly string[]): LakeJob[] {
  const paths = new Set(pathFlags().keys());
  const lines = new LineCounter();
  const document = parseDocument(readFileSync(file, 'utf8'), { lineCounter: lines, prettyErrors: false });
  const refuse = (node: unknown, why: string): never => {
    const range = (node as Node | null)?.range;
    throw new Refusal([says.jobs({ file, line: range ? lines.linePos(range[0]).line : undefined }, why)]);
  };
  if (document.errors.length > 0) refuse({ range: document.errors[0].pos }, document.errors[0].message);
  const lakes = isMap(document.contents) ? document.contents.get('lakes', true) : undefined;
  if (!isSeq(lakes)) return refuse(document.contents, 'no list "lakes"');
  const home = dirname(file);
  return lakes.items.map((item) => {
    if (isScalar(item)) return lakeFolderJob(fromHome(home, String(item.value)), extra);
    if (!isMap(item)) return refuse(item, 'an item is neither a folder nor a mapping');
    const values = mapOf(item, refuse);
    const options = optionArgs(home, values.get('options'), paths, () =>
      refuse(item, 'options that are not a mapping'),
    );
    const folder = values.get('folder');
    if (typeof folder === 'string') return lakeFolderJob(fromHome(home, folder), [...options, ...extra]);
    return listedJob(home, values, [...options, ...extra], () =>
      refuse(item, 'a lake needs folder, or waypoints and out'),
    );
  });
}

type Refuse = (node: unknown, why: string) => never;

const KEYS = ['folder', 'name', 'waypoints', 'soundings', 'tracks', 'out', 'options'];

function mapOf(item: YAMLMap, refuse: Refuse): Map<string, unknown> {
  const values = new Map<string, unknown>(Object.entries(item.toJSON() as Record<string, unknown>));
  for (const key of values.keys()) if (!KEYS.includes(key)) refuse(item, `key "${key}"`);
  return values;
}

/** Options as typed, with paths relative to the folder of the list. */
function optionArgs(
  home: string,
  options: unknown,
  paths: ReadonlySet<string>,
  refuse: () => never,
): string[] {
  if (options === undefined) return [];
  if (typeof options !== 'object' || options === null || Array.isArray(options)) return refuse();
  const textOf = (flag: string, value: unknown): string => {
    const text = String(value);
    const isPackage = flag === 'plugin' && !text.startsWith('.');
    return paths.has(flag) && !isPackage ? fromConfigFolder(home, text) : text;
  };
  return Object.entries(options).flatMap(([flag, value]) => {
    if (value === true) return [`--${flag}`];
    if (value === false) return [`--no-${flag}`];
    return [value].flat().flatMap((one) => [`--${flag}`, textOf(flag, one)]);
  });
}

function listedJob(
  home: string,
  values: ReadonlyMap<string, unknown>,
  extra: readonly string[],
  refuse: () => never,
): LakeJob {
  const paths = (key: string): string[] =>
    [values.get(key) ?? []].flat().map((path) => fromHome(home, String(path)));
  const [waypoints, [outFolder]] = [paths('waypoints'), paths('out')];
  if (waypoints.length === 0 || outFolder === undefined) return refuse();
  const given = { soundings: paths('soundings'), tracks: paths('tracks') };
  return lakeJob(String(values.get('name') ?? basename(outFolder)), waypoints, given, outFolder, extra);
}

const fromHome = (home: string, path: string): string =>
  isAbsolute(path) ? path : relative('', join(home, path)) || '.';
