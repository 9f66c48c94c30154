import type { Report } from '../../shared/contract/index.ts';
import { isDayLog } from '../day/index.ts';
import type { LakeInputs } from '../engine/index.ts';
import { headOfFile, readInput } from '../files/index.ts';
import { type Fixes, fileSource, readFixes } from '../formats/csv/index.ts';
import { accepts, bytesIfThere, HEAD_BYTES } from '../run/index.ts';
import { expandPaths } from './expand-paths.ts';
import type { ResolvedCommand } from './resolve-command.ts';

/** Files that a run reads, all found before any is opened. */
export interface InputFiles {
  readonly waypoints: readonly string[];
  readonly logs: readonly string[];
  readonly tracks: readonly string[];
}

/** Files at the paths of a command line. @throws Refusal for a path that does not exist. */
export function findInputs(resolved: ResolvedCommand): InputFiles {
  return {
    waypoints: expandPaths(resolved.positionals, ['.gpx'], undefined, resolved.inputs.soundings),
    logs: findLogs(resolved),
    tracks: expandPaths(resolved.inputs.tracks ?? [], ['.gpx']),
  };
}

/**
 * Sounding logs. In folders these are CSV, GPX, and files that a reader accepts by both name and content.
 *
 * @param more Paths in addition to those of `--soundings`.
 */
export function findLogs(
  { inputs, pipeline, positionals }: ResolvedCommand,
  more: readonly string[] = [],
): string[] {
  const readers = pipeline.reader.map(({ plugin }) => plugin);
  const known = ['.csv', '.gpx'];
  const isLog = (path: string): boolean => {
    if (known.some((extension) => path.toLowerCase().endsWith(extension))) return true;
    const head = headOfFile(path, HEAD_BYTES);
    return readers.some((reader) => accepts(reader, head, path));
  };
  const extensions = [...known, ...readers.flatMap((reader) => reader.extensions)];
  return expandPaths([...more, ...(inputs.soundings ?? [])], [...new Set(extensions)], isLog, positionals);
}

/** The inputs of a run as files; `-` is standard input. */
export const filesOnDisk = (
  { inputs }: ResolvedCommand,
  { waypoints, tracks }: Pick<InputFiles, 'waypoints' | 'tracks'>,
): Pick<LakeInputs, 'waypoints' | 'tracks' | 'repair' | 'read' | 'bytesIfThere' | 'openTrack'> => ({
  waypoints,
  tracks,
  repair: inputs.repair,
  read: readInput,
  bytesIfThere,
  openTrack: fileSource,
});

/** Track positions by time, for logs without positions; undefined without tracks. */
export const fixesOf = async (tracks: readonly string[], report: Report): Promise<Fixes | undefined> =>
  tracks.length === 0 ? undefined : readFixes(await Promise.all(tracks.map(fileSource)), report);

/** Logs of fished stops: files as given, and in folders those whose content begins like such a log. */
export const findDayLogs = (paths: readonly string[]): string[] =>
  expandPaths(paths, ['.csv', '.log', '.txt', '.gpx'], isDayLog);
