import { existsSync, statSync } from 'node:fs';
import { basename, join } from 'node:path';
import { Refusal } from '../../../shared/contract/index.ts';
import { batchMessages as says } from '../../../shared/text/index.ts';
import { isDownslopeOutput, readFolder } from '../../files/index.ts';
import { LAKE_CONFIG } from './outside-access.ts';

/** One lake's job: the arguments of `enrich`. */
export interface LakeJob {
  readonly name: string;
  /** The lake folder; absent for a lake composed by a list. */
  readonly folder?: string;
  readonly outFolder: string;
  readonly args: readonly string[];
  /** Files and folders that the job depends on. */
  readonly inputs: readonly string[];
}

/** Folder for the outputs of a lake; never read as input. */
const OUT_FOLDER = 'plan';

/**
 * The job of a lake folder, which contains `waypoints/` (or GPX files in the folder itself), `logs/`, `tracks/`,
 * `levels.csv`, `lures.csv` and `downslope.yaml`.
 *
 * Everything but the waypoints is optional.
 * @param extra More arguments for `enrich`, which win over the configuration.
 * @throws Refusal when there are no waypoints.
 */
export function lakeFolderJob(folder: string, extra: readonly string[]): LakeJob {
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

/** The job of a lake from its paths. @param given Paths by flag. */
export function lakeJob(
  name: string,
  waypoints: readonly string[],
  given: Readonly<Record<string, readonly string[]>>,
  outFolder: string,
  extra: readonly string[],
): LakeJob {
  const flags = Object.entries(given).flatMap(([flag, paths]) =>
    paths.length === 0 ? [] : [`--${flag}`, ...paths],
  );
  return {
    name,
    outFolder,
    args: [...waypoints, ...flags, ...outputArgs(outFolder, waypoints), ...extra],
    inputs: [...waypoints, ...Object.values(given).flat()],
  };
}

function outputArgs(outFolder: string, waypoints: readonly string[]): string[] {
  const isOne = waypoints.length === 1 && !statSync(waypoints[0]).isDirectory();
  const name = basename(waypoints[0]).replace(/\.gpx$/i, '');
  const out = isOne ? join(outFolder, `${name}.enriched.gpx`) : join(outFolder, '/');
  const [table, report] = ['table.csv', 'report.html'].map((file) => join(outFolder, file));
  return ['--out', out, '--table', table, '--report', report, '--force'];
}

function gpxFiles(folder: string): string[] {
  const paths = readFolder(folder).map(({ name }) => join(folder, name));
  return paths.filter((path) => /\.gpx$/i.test(path) && !isDownslopeOutput(path));
}
