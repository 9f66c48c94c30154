import { existsSync, readFileSync, statSync } from 'node:fs';
import { basename, dirname, join } from 'node:path';
import { isPlainObject } from 'es-toolkit/predicate';
import { isMap, isScalar, isSeq, LineCounter, type Node, parseDocument } from 'yaml';
import { Refusal } from '../../../shared/contract/index.ts';
import { batchMessages as says, inputMessages as saysOfInput } from '../../../shared/text/index.ts';
import { isDownslopeOutput, readFolder } from '../../files/index.ts';
import { BUILT_IN } from '../../run/index.ts';
import { settingsOf } from '../command-options.ts';
import { fromConfigFolder } from '../read-config.ts';
import { LAKE_CONFIG, pathFlags } from './outside-access.ts';

/** One lake's job: the arguments of `enrich`. */
export interface LakeJob {
  readonly name: string;
  /** The lake folder; absent for a lake that a list describes without a folder. */
  readonly folder?: string;
  readonly outFolder: string;
  readonly args: readonly string[];
  /** Input files and folders known before the job runs. The run may read more, such as files of options. */
  readonly inputs: readonly string[];
}

/** Name of the folder for outputs in a lake folder. No inputs are read from there. */
const OUT_FOLDER = 'plan';

const KEYS = ['folder', 'name', 'waypoints', 'soundings', 'tracks', 'out', 'options'];

/**
 * Reads the jobs at the paths that the user gave: lake folders, and YAML files that list several lakes.
 *
 * @param extra Arguments of `enrich` for every job.
 * @throws Refusal for a path that does not exist, a folder without waypoints, or a list that is not valid.
 */
export const readJobs = (paths: readonly string[], extra: readonly string[]): LakeJob[] =>
  paths.flatMap((path) => {
    const isFolder = statSync(path, { throwIfNoEntry: false })?.isDirectory();
    if (isFolder === undefined) throw new Refusal([saysOfInput.missing({ file: path })]);
    return isFolder ? folderJob(path, extra) : readJobList(path, extra);
  });

function readJobList(file: string, extra: readonly string[]): LakeJob[] {
  const lines = new LineCounter();
  const document = parseDocument(readFileSync(file, 'utf8'), { lineCounter: lines, prettyErrors: false });
  const refuse = (node: unknown, why: string): never => {
    const range = (node as Node | null)?.range;
    throw new Refusal([says.jobs({ file, line: range ? lines.linePos(range[0]).line : undefined }, why)]);
  };
  if (document.errors.length > 0) refuse({ range: document.errors[0].pos }, document.errors[0].message);
  const lakes = isMap(document.contents) ? document.contents.get('lakes', true) : undefined;
  if (!isSeq(lakes)) return refuse(document.contents, 'it has no list "lakes"');
  const home = dirname(file);
  const pathOf = (path: unknown): string => fromConfigFolder(home, String(path));
  return lakes.items.map((item) => {
    if (isScalar(item)) return folderJob(pathOf(item.value), extra);
    if (!isMap(item)) return refuse(item, 'an item is neither a folder nor a block of lines "key: value"');
    const values = item.toJSON() as Record<string, unknown>;
    const strange = Object.keys(values).find((key) => !KEYS.includes(key));
    if (strange !== undefined) refuse(item, `a lake has no key "${strange}"`);
    const { folder, name, options = {} } = values;
    if (!isPlainObject(options)) return refuse(item, '"options:" is not followed by lines "option: value"');
    const args = [...withoutReplaced(optionArgs(home, options), extra), ...extra];
    if (typeof folder === 'string') return folderJob(pathOf(folder), args);
    const paths = (key: string): string[] => [values[key] ?? []].flat().map(pathOf);
    const [waypoints, [outFolder]] = [paths('waypoints'), paths('out')];
    if (waypoints.length === 0 || outFolder === undefined)
      return refuse(item, 'a lake needs "folder:", or "waypoints:" and "out:"');
    const missing = waypoints.find((path) => !existsSync(path));
    if (missing !== undefined) throw new Refusal([saysOfInput.missing({ file: missing })]);
    const given = { soundings: paths('soundings'), tracks: paths('tracks') };
    return lakeJob(String(name ?? basename(outFolder)), waypoints, given, outFolder, args);
  });
}

/** Turns the options of a list into arguments. Paths in the list are relative to its folder, `home`. */
function optionArgs(home: string, options: Readonly<Record<PropertyKey, unknown>>): string[][] {
  const paths = pathFlags();
  const textOf = (flag: string, value: unknown): string => {
    const text = String(value);
    const isPackage = flag === 'plugin' && !text.startsWith('.');
    return paths.has(flag) && !isPackage ? fromConfigFolder(home, text) : text;
  };
  return Object.entries(options).flatMap(([flag, value]) => {
    if (value === true) return [[`--${flag}`]];
    if (value === false) return [[`--no-${flag}`]];
    return [value].flat().map((one) => [`--${flag}`, textOf(flag, one)]);
  });
}

/** Joins options to arguments, without the options that later arguments replace, since they win. */
function withoutReplaced(options: readonly (readonly string[])[], later: readonly string[]): string[] {
  const settings = settingsOf(BUILT_IN);
  const isList = (flag: string): boolean => settings.get(flag.slice(2))?.definition.kind === 'list';
  const given = new Set(later.filter((word) => word.startsWith('--')).map((word) => word.split('=')[0]));
  return options.filter(([flag]) => isList(flag) || !given.has(flag)).flat();
}

/**
 * Makes the job of a lake folder, which contains `waypoints/` (or GPX files in the folder itself), `logs/`,
 * `tracks/`, `levels.csv`, `lures.csv` and `downslope.yaml`. Everything but the waypoints is optional.
 *
 * @param extra More arguments of `enrich`, which win over the configuration.
 */
function folderJob(folder: string, extra: readonly string[]): LakeJob {
  const there = (name: string): string[] => (existsSync(join(folder, name)) ? [join(folder, name)] : []);
  const waypoints = there('waypoints').length > 0 ? there('waypoints') : gpxFiles(folder);
  if (waypoints.length === 0) throw new Refusal([says['no-waypoints']({ file: folder })]);
  const given = {
    config: there(LAKE_CONFIG),
    soundings: there('logs'),
    tracks: there('tracks'),
    levels: there('levels.csv'),
    lures: there('lures.csv'),
  };
  return { folder, ...lakeJob(basename(folder), waypoints, given, join(folder, OUT_FOLDER), extra) };
}

function gpxFiles(folder: string): string[] {
  const paths = readFolder(folder).map(({ name }) => join(folder, name));
  return paths.filter((path) => /\.gpx$/i.test(path) && !isDownslopeOutput(path));
}

/** @param given Paths by flag. */
function lakeJob(
  name: string,
  waypoints: readonly string[],
  given: Readonly<Record<string, readonly string[]>>,
  outFolder: string,
  extra: readonly string[],
): LakeJob {
  const flags = Object.entries(given).flatMap(([flag, paths]) =>
    paths.length === 0 ? [] : [[`--${flag}`, ...paths]],
  );
  const [out, table, report] = [outOf(waypoints), 'table.csv', 'report.html'].map((to) =>
    join(outFolder, to),
  );
  const outputs = [['--out', out], ['--table', table], ['--report', report], ['--force']];
  return {
    name,
    outFolder,
    args: [...waypoints, ...withoutReplaced([...flags, ...outputs], extra), ...extra],
    inputs: [...waypoints, ...Object.values(given).flat()],
  };
}

/**
 * Returns the name of the enriched GPX of one file, or `/` (the output folder) for a folder or several files.
 */
const outOf = ([first, ...others]: readonly string[]): string =>
  others.length > 0 || statSync(first).isDirectory()
    ? '/'
    : `${basename(first).replace(/\.gpx$/i, '')}.enriched.gpx`;
