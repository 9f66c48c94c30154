import { messages } from './make.ts';

export const optionMessages = messages('option', 'error', {
  /** @param found The value as typed. @param expected A noun phrase with unit and limit. */
  range: (name: string, found: string, expected: string) =>
    `${name} ${found} is out of range: it must be ${expected}.`,
  value: (name: string, found: string, expected: string) =>
    `${name} ${JSON.stringify(found)} is not ${expected}.`,
  'value out-twice': 'There are two places for the enriched GPX. Give --out or --in-place, not both.',
  /** @param near An option of the command with a similar spelling. */
  unknown: (name: string, near?: string, command = 'COMMAND') =>
    `There is no option ${name}.${near === undefined ? '' : ` Did you mean ${near}?`} See downslope ${command} --help.`,
  'flag-taken': (flag: string, first: string, second: string) =>
    `Plugins "${first}" and "${second}" both define --${flag}. Rename one, or leave the flag out of "${second}" and use --${second}.OPTION.`,
  'command-line': (message: string) => message,
  'command-line nothing-to-check':
    'There is nothing to check. Name waypoint files, or give sonar logs with --soundings. See downslope check --help.',
  'command-line nothing-sounded': (command = 'lake') =>
    `There are no depths to model the lake from. Give sonar logs with positions and depths, or a folder of them, with --soundings. See downslope ${command} --help.`,
  'command-line lake-too-large':
    'These logs span too much ground for one map of the lake. Give the logs of one lake at a time.',
  'command-line no-export':
    'This command reads exactly one file. Name one GPX file exported from your unit. See downslope unit --help.',
  'command-line nothing-to-undo':
    'There is nothing to restore. Name the enriched GPX files. See downslope undo --help.',
});

export const commandMessages = {
  ...messages('command', 'error', {
    'nothing-to-save':
      'Nothing is saved: no option here says how to read the logs. Give options that fit these logs, such as --depth-unit ft or --crs EPSG:32633.',
    'setting-differs': (name: string, there: string) =>
      `Nothing is saved: this file already sets ${name} to ${there}. Add --force to replace that value.`,
    unknown: (name: string, known: readonly string[]) =>
      `There is no command ${JSON.stringify(name)}. The commands are ${known.join(', ')}. See downslope --help.`,
  }),
  ...messages('view', 'error', {
    address: (host: string, port: number, why: string) =>
      `The page cannot be served at ${host}, port ${port} (${why}). Add --port 0 to take any free port, or leave --host out.`,
  }),
  ...messages('demo', 'error', {
    'folder-taken': (folder: string) =>
      `Folder ${JSON.stringify(folder)} is not empty. Name another folder, or add --force to replace an earlier demo there.`,
  }),
};

export const configMessages = messages('config', 'error', {
  unreadable: (why: string) =>
    `This configuration cannot be read (${why}). Give a YAML file of option names and their values.`,
  key: (key: string, known: string) =>
    `Key ${JSON.stringify(key)} is not ${known}. See downslope enrich --help.`,
  'not-trusted': (file: string, asks: readonly string[]) =>
    `Nothing was run: this configuration ${asks.join(', ')}. If you know who wrote the file and want this, run: downslope trust ${file}`,
  /** @param most Maximum number of files and folders that are searched. */
  'folder-full': (most: number) =>
    `Nothing was run: this folder holds more than ${most} files and folders, too many to search for scripts and links. Move what the lake needs into a folder of its own.`,
});

export const inputMessages = {
  ...messages('input', 'error', {
    missing: 'No such file or folder. Check the spelling.',
    'no-files': (kinds: string) =>
      `There is no file named ${kinds} to read in this folder. Give another folder.`,
    json: (why: string) => `This file is not valid JSON (${why}). Correct the file, or export it again.`,
    twice: (name: string) => `Two inputs are called ${JSON.stringify(name)}. Give them different names.`,
  }),
  ...messages('input', 'note', {
    'no-waypoints': (files: number) =>
      `The output is the same as the input: there are no waypoints in ${files === 1 ? 'the file' : `the ${files} files`}.`,
  }),
};

export const batchMessages = messages('batch', 'error', {
  'no-waypoints': 'This lake folder has no waypoints. Put GPX files into it or into its folder waypoints/.',
  'not-trusted': (folder: string, asks: readonly string[]) =>
    `This lake was not run: its folder ${asks.join(', ')}. If you know who made the folder and want this, run: downslope trust ${folder}`,
  'no-folder': (path: string) => `No such file or folder: ${path}. Check the spelling.`,
  jobs: (why: string) =>
    `This is not a list of lakes (${why}). Under "lakes:", give the folder of each lake, or its "waypoints:", its "out:" and, if you have logs, its "soundings:".`,
  'job-failed': (lake: string, status: number, why: string) =>
    why === ''
      ? `Lake "${lake}" failed without a message (exit status ${status}). Run this lake alone to see why.`
      : `Lake "${lake}" failed (exit status ${status}): ${why}`,
});
