import type { Diagnostic } from '../../contract/index.ts';
import { error } from './make.ts';

export const lakeNoWaypoints = (folder: string): Diagnostic =>
  error(
    'batch/no-waypoints',
    'This lake folder has no waypoints. Put GPX files in it or in its folder waypoints/.',
    { place: { file: folder } },
  );

export const lakeNotTrusted = (folder: string, asks: readonly string[]): Diagnostic =>
  error(
    'batch/not-trusted',
    `Nothing of this lake was run: its folder ${asks.join(', ')}. If you know who made it and want this, run: downslope trust ${folder}`,
    { place: { file: folder } },
  );

export const configNotTrusted = (file: string, asks: readonly string[]): Diagnostic =>
  error(
    'config/not-trusted',
    `Nothing was run: this configuration ${asks.join(', ')}. If you know who wrote it and want this, run: downslope trust ${file}`,
    { place: { file } },
  );

/** @param most Files and folders that are looked through. */
export const folderTooFull = (folder: string, most: number): Diagnostic =>
  error(
    'config/folder-full',
    `Nothing was run: this folder holds more than ${most} files, too many to look through for scripts and links. Put the configuration and its plugins in a folder of their own.`,
    { place: { file: folder } },
  );

export const folderMissing = (path: string | undefined): Diagnostic =>
  error(
    'batch/no-folder',
    path === undefined
      ? 'No lake folder was given. Name one.'
      : `No such folder: ${path}. Check the spelling.`,
  );

export const jobsUnreadable = (file: string, line: number | undefined, why: string): Diagnostic =>
  error(
    'batch/jobs',
    `This is not a list of lakes (${why}). Give a YAML list "lakes" whose items are folders, or mappings with folder, or with waypoints, soundings and out.`,
    { place: { file, line } },
  );

export const jobFailed = (lake: string, status: number, why: string): Diagnostic =>
  error('batch/job-failed', `Lake "${lake}" ended with status ${status}: ${why}`);
