import { messages } from './make.ts';

export const optionMessages = messages('option', 'error', {
  /** @param found The value as typed. @param expected A noun phrase with unit and limit. */
  range: (name: string, found: string, expected: string) =>
    `${name} ${found} is out of range: it must be ${expected}.`,
  value: (name: string, found: string, expected: string) =>
    `${name} ${JSON.stringify(found)} is not ${expected}.`,
  'value out-twice': 'Give --out or --in-place, not both.',
  /** @param near An option of the command with a similar spelling. */
  unknown: (name: string, near?: string, command = 'COMMAND') =>
    `There is no option ${name}.${near === undefined ? '' : ` Did you mean ${near}?`} See downslope ${command} --help.`,
  'flag-taken': (flag: string, first: string, second: string) =>
    `Plugins "${first}" and "${second}" both define --${flag}. Rename one, or leave the flag out of "${second}" and use --${second}.OPTION.`,
  'command-line': (message: string) => message,
  'command-line nothing-to-check':
    'Nothing to check: name waypoint files, or logs with --soundings. See downslope check --help.',
  'command-line nothing-sounded': (command = 'lake') =>
    `There are no depths to model. Name logs or a folder of them. See downslope ${command} --help.`,
  'command-line lake-too-large':
    'These logs span too much ground for one lake model. Give the logs of one lake at a time, or a coarser --cell.',
  'command-line no-export': 'Name one GPX file exported from your unit. See downslope unit --help.',
  'command-line nothing-to-undo': 'Name the enriched GPX files to restore. See downslope undo --help.',
});

export const commandMessages = {
  ...messages('command', 'error', {
    'nothing-to-save':
      'Nothing to save: no option here says how to read the logs. Give options that fit these logs, such as --depth-unit ft or --crs EPSG:32633.',
    'setting-differs': (name: string, there: string) =>
      `Nothing is saved: the file already has ${name} ${there}. Pass --force to replace it.`,
    unknown: (name: string, known: readonly string[]) =>
      `There is no command ${JSON.stringify(name)}. The commands are ${known.join(', ')}. See downslope --help.`,
  }),
  ...messages('view', 'error', {
    /** The address for the page of `view` cannot be used. */
    address: (host: string, port: number, why: string) =>
      `The page cannot be served at ${host}, port ${port} (${why}). Add --port 0 for any free port, or leave --host out.`,
  }),
  ...messages('demo', 'error', {
    'folder-taken': (folder: string) =>
      `Folder ${JSON.stringify(folder)} is not empty. Name another, or replace an earlier demo in it with --force.`,
  }),
};

export const configMessages = messages('config', 'error', {
  unreadable: (why: string) =>
    `This is not a YAML mapping of option names to values (${why}). Correct it, or leave --config out.`,
  key: (key: string, known: string) =>
    `Key ${JSON.stringify(key)} is not ${known}. See downslope enrich --help.`,
  'not-trusted': (file: string, asks: readonly string[]) =>
    `Nothing was run: this configuration ${asks.join(', ')}. If you know who wrote it and want this, run: downslope trust ${file}`,
  /** @param most Largest number of files and folders that are looked through. */
  'folder-full': (most: number) =>
    `Nothing was run: this folder holds more than ${most} files, too many to look through for scripts and links. Put the configuration and its plugins in a folder of their own.`,
});

export const inputMessages = {
  ...messages('input', 'error', {
    missing: 'No such file or folder. Check the spelling.',
    'no-files': (kinds: string) => `This folder and the folders in it hold no ${kinds}. Give another folder.`,
    json: (why: string) => `This is not JSON (${why}). Export it again, or correct it.`,
    twice: (name: string) => `Two inputs are called ${JSON.stringify(name)}. Give each a different name.`,
  }),
  ...messages('input', 'note', {
    'no-waypoints': (files: number) =>
      `No waypoints in ${files === 1 ? 'this file' : `${files} files`}: the output is the same as the input.`,
  }),
};

export const batchMessages = messages('batch', 'error', {
  'no-waypoints': 'This lake folder has no waypoints. Put GPX files in it or in its folder waypoints/.',
  'not-trusted': (folder: string, asks: readonly string[]) =>
    `This lake was not run: its folder ${asks.join(', ')}. If you know who made it and want this, run: downslope trust ${folder}`,
  'no-folder': (path: string) => `No such folder: ${path}. Check the spelling.`,
  jobs: (why: string) =>
    `This is not a list of lakes (${why}). Under "lakes:", give each lake's folder, or its "waypoints:" and "out:" (and "soundings:" if you have logs).`,
  'job-failed': (lake: string, status: number, why: string) =>
    why === ''
      ? `Lake "${lake}" failed without a message (exit status ${status}). Run this lake alone to see why.`
      : `Lake "${lake}" failed (exit status ${status}): ${why}`,
});
