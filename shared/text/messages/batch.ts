import type { Diagnostic } from '../../contract/diagnostic.ts';

export const lakeNoWaypoints = (folder: string): Diagnostic => ({
  severity: 'error',
  code: 'batch/no-waypoints',
  message: 'Unexpected lake folder without waypoints, expected GPX files in it or in its folder waypoints/.',
  place: { file: folder },
});

export const jobsUnreadable = (file: string, line: number | undefined, why: string): Diagnostic => ({
  severity: 'error',
  code: 'batch/jobs',
  message: `Unexpected content (${why}), expected a YAML list "lakes" whose items are folders or mappings with folder, or with waypoints, soundings and out.`,
  place: { file, line },
});

export const jobFailed = (lake: string, status: number, why: string): Diagnostic => ({
  severity: 'error',
  code: 'batch/job-failed',
  message: `Lake "${lake}" ended with status ${status}: ${why}`,
});
