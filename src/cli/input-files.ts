import type { Diagnostic } from '../../shared/contract/index.ts';
import { isDayLog } from '../day/index.ts';
import type { LakeInputs } from '../engine/index.ts';
import { headOfFile, readInput } from '../files/index.ts';
import { type Fixes, fileSource, readFixes } from '../formats/csv/index.ts';
import { bytesIfThere, HEAD_BYTES, takes } from '../run/index.ts';
import { expandPaths } from './expand-paths.ts';
import type { Settled } from './settle.ts';

/** Files that a run reads, found before any of them is opened. */
export interface InputFiles {
  readonly waypoints: readonly string[];
  readonly logs: readonly string[];
  readonly tracks: readonly string[];
}

/** Files behind the paths of a command line. @throws Refusal for a path that is not there. */
export function findInputs(settled: Settled): InputFiles {
  return {
    waypoints: expandPaths(settled.positionals, ['.gpx']),
    logs: findLogs(settled),
    tracks: expandPaths(settled.inputs.tracks ?? [], ['.gpx']),
  };
}

/**
 * Sounding logs: in folders CSV, GPX, and what a reader knows by its name and takes by its content.
 *
 * @param more Paths besides those of `--soundings`.
 */
export function findLogs({ inputs, pipeline }: Settled, more: readonly string[] = []): string[] {
  const readers = pipeline.reader.map(({ plugin }) => plugin);
  const known = ['.csv', '.gpx'];
  const isLog = (path: string): boolean => {
    if (known.some((extension) => path.toLowerCase().endsWith(extension))) return true;
    const head = headOfFile(path, HEAD_BYTES);
    return readers.some((reader) => takes(reader, head, path));
  };
  const extensions = [...known, ...readers.flatMap((reader) => reader.extensions)];
  return expandPaths([...more, ...(inputs.soundings ?? [])], [...new Set(extensions)], isLog);
}

/** The inputs of a run as files; `-` is standard input. */
export const filesOnDisk = (
  { inputs }: Settled,
  { waypoints, tracks }: Pick<InputFiles, 'waypoints' | 'tracks'>,
): Pick<LakeInputs, 'waypoints' | 'tracks' | 'repair' | 'read' | 'bytesIfThere' | 'openTrack'> => ({
  waypoints,
  tracks,
  repair: inputs.repair,
  read: readInput,
  bytesIfThere,
  openTrack: fileSource,
});

/** Positions by time of tracks, for logs without any; undefined without tracks. */
export const fixesOf = async (
  tracks: readonly string[],
  report: (diagnostic: Diagnostic) => void,
): Promise<Fixes | undefined> =>
  tracks.length === 0 ? undefined : readFixes(await Promise.all(tracks.map(fileSource)), report);

/** Logs of what was fished: files as they are, and in folders those that begin like one. */
export const findDayLogs = (paths: readonly string[]): string[] =>
  expandPaths(paths, ['.csv', '.log', '.txt', '.gpx'], isDayLog);
