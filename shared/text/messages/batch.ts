import { messages } from './make.ts';

export const batchMessages = messages('batch', 'error', {
  'no-waypoints': 'This lake folder has no waypoints. Put GPX files in it or in its folder waypoints/.',
  'not-trusted': (folder: string, asks: readonly string[]) =>
    `Nothing of this lake was run: its folder ${asks.join(', ')}. If you know who made it and want this, run: downslope trust ${folder}`,
  'no-folder': (path: string) => `No such folder: ${path}. Check the spelling.`,
  jobs: (why: string) =>
    `This is not a list of lakes (${why}). Give a YAML list "lakes" whose items are folders, or mappings with folder, or with waypoints, soundings and out.`,
  'job-failed': (lake: string, status: number, why: string) =>
    `Lake "${lake}" ended with status ${status}: ${why}`,
});
