import { systemError } from '../system-errors.ts';
import { asTyped, listed, messages } from './make.ts';

const orRemove = (near: readonly string[]): string =>
  near.length === 0 ? 'Remove that line.' : `Did you mean ${near.join(' or ')}?`;

/** Writes an option as it is typed: `--out PATH` for `--out <path>`. */
const optionUse = (option: string): string =>
  option.replace(/<(.*?)(?:\.\.\.)?>/, (_, name: string) => name.toUpperCase());

/** Minimum spacing of a map's depths at which `--cell 60ft` is not proposed, m: it would hardly be coarser. */
const COARSE = 18;

/** Says how to map a large area. @param cell Distance between the depths of the map, m. */
const smallerMap = (cell: number): string =>
  `Give only the logs of one lake or one part of it${cell < COARSE ? ', or add --cell 60ft for a coarser map' : ''}.`;

export const optionMessages = messages('option', 'error', {
  /** @param found The value as typed. @param expected A noun phrase with unit and limit. */
  range: (name: string, found: string, expected: string) =>
    `${name} ${found} is out of range: it must be ${expected}.`,
  value: (name: string, found: string, expected: string) =>
    `${name} ${JSON.stringify(found)} is not ${expected}.`,
  'value twice': (name: string, first: string, second: string) =>
    `${name} is given twice, with ${JSON.stringify(first)} and with ${JSON.stringify(second)}, but takes one value. Keep one of the two.`,
  'value out-twice': 'There are two places for the enriched GPX. Give --out or --in-place, not both.',
  /** @param near Options of the command with a similar spelling: `--cast, --date`. */
  unknown: (name: string, near?: string, command?: string) =>
    `${command === undefined ? 'There is' : `downslope ${command} has`} no option ${name}.${near === undefined ? '' : ` Did you mean ${near.replaceAll(', ', ' or ')}?`} See downslope ${command ?? 'COMMAND'} --help.`,
  'flag-taken': (flag: string, first: string, second: string) =>
    `Plugins "${first}" and "${second}" both have an option --${flag}. Give that option of "${second}" another flag; without any flag, it is set as --${second}.OPTION.`,
  /** @param option As in the help: `--out <path>`. */
  'command-line no-value': (option: string) =>
    `${option.split(' ')[0]} needs a value. Write ${optionUse(option)}.`,
  'command-line switch': (flag: string) => `${flag} takes no value. Write ${flag} alone.`,
  /** @param argument As in the help: `<waypoints...>`. @param what The help of the argument. */
  'command-line no-argument': (command: string, argument: string, what: string) =>
    `Right after the name of the command, give ${what.split(';')[0]}: downslope ${command} ${optionUse(argument)}. See downslope ${command} --help.`,
  'command-line too-many': (command: string, found: readonly string[]) =>
    `downslope ${command} takes 1 argument, not ${found.length}: ${JSON.stringify(found[1])} is one too many. Put quotes around a name with spaces. See downslope ${command} --help.`,
  'command-line nothing-to-check':
    'There is nothing to check. Name waypoint files, or give sonar logs with --soundings. See downslope check --help.',
  'command-line nothing-sounded': (command = 'lake') =>
    `There are no depths to model the lake from. Give sonar logs with positions and depths, or a folder of them, with --soundings. See downslope ${command} --help.`,
  'command-line lake-not-used':
    'Structure is less sure here: each mark is seen alone, because these logs cover too large an area for one map. Give only the logs of the water that you will fish.',
  /** @param cell Distance between the depths of the map, m. */
  'command-line no-layers': (cell: number) =>
    `The layers of contours and depths are not written: these logs cover too large an area for one map. ${smallerMap(cell)}`,
  'command-line no-boat-page':
    'Nothing is written: these logs cover too large an area for the page of --boat. Give only the logs of the water that you will fish, or leave --boat out.',
  /** @param cell Distance between the depths of the map, m. */
  'command-line lake-too-large': (cell: number) =>
    `The lake is not mapped: these logs cover too large an area for one map. ${smallerMap(cell)}`,
});

export const commandMessages = {
  ...messages('command', 'error', {
    'nothing-to-save':
      'Nothing is saved: no option here says how to read the logs. Give options that fit these logs, such as --depth-unit ft or --crs EPSG:32633.',
    'nothing-to-save no-log':
      'Nothing is saved: no sonar log is given to save options for. Give the log with --soundings.',
    'nothing-to-save unnamed':
      'Nothing is saved: options are saved under the name of a log, and a log from standard input has none. Give the file itself with --soundings.',
    'setting-differs': (name: string, there: string) =>
      `Nothing is saved: this file already sets ${name} to ${there}. Add --force to replace that value.`,
    unknown: (name: string, near: readonly string[]) =>
      name.startsWith('-')
        ? `The name of the command comes first, before ${name}. See downslope --help.`
        : `There is no command ${JSON.stringify(name)}.${near.length === 0 ? '' : ` Did you mean ${near.join(' or ')}?`} See downslope --help.`,
  }),
  ...messages('view', 'error', {
    address: (host: string, why: string) =>
      `The page cannot be shown at address ${host} (${systemError(why)}). Leave --host out to show it on this machine.`,
    'address port': (port: number, isTaken: boolean) =>
      `The page cannot be shown on port ${port}: ${isTaken ? 'another program uses it' : 'this system does not allow it'}. Leave --port out to use any free port.`,
  }),
  ...messages('demo', 'error', {
    'folder-taken file': (file: string) => `${JSON.stringify(file)} is a file. Name a folder for the demo.`,
    'folder-taken': (folder: string) =>
      `Folder ${JSON.stringify(folder)} is not empty. Name another folder, or add --force to replace an earlier demo there.`,
  }),
};

export const configMessages = messages('config', 'error', {
  'unreadable syntax': (why: string) =>
    `Nothing was run: this line, or one above it, is not valid YAML (${why}). Write each option as "option: value".`,
  unreadable: (why: string) =>
    `This configuration cannot be read (${systemError(why)}). Give a YAML file of option names and their values.`,
  key: (key: string, near: readonly string[] = []) =>
    `Nothing was run: a configuration has no option ${JSON.stringify(key)}. ${orRemove(near)}`,
  'key of-log': (key: string, near: readonly string[]) =>
    `Nothing was run: ${JSON.stringify(key)} does not say how to read a log, so it cannot be set for one log. Remove that line${near.length === 0 ? '' : `, or write ${near.join(' or ')}`}.`,
  'key twice': (key: string) =>
    `Nothing was run: this configuration gives ${JSON.stringify(key)} twice. Keep one of the two lines.`,
  'key no-value': (key: string, expected: string) =>
    `Nothing was run: ${JSON.stringify(key)} has no value. Add ${expected}, or remove that line.`,
  'key value': (key: string, expected: string) =>
    `Nothing was run: the value of ${JSON.stringify(key)} is not ${expected}. Correct that line.`,
  'not-trusted': (file: string, asks: readonly string[]) =>
    `Nothing was run, because it needs your permission: this configuration ${listed(asks)}. If you know who wrote the file and want this, run: downslope trust ${asTyped(file)}`,
  'folder-full': (most: number) =>
    `Nothing was run: this folder contains more than ${most} files and folders, too many to search for scripts and links. Move what the lake needs into a folder of its own.`,
});

export const inputMessages = {
  ...messages('input', 'error', {
    missing: 'No such file or folder. Check the spelling.',
    /** @param what Plural noun: `sonar logs`. */
    'no-files': (what: string) =>
      `There are no ${what} in this folder. Give another folder, or the path of a file, which may have any name.`,
    'no-files own': (what: string) =>
      `There are no ${what} of yours in this folder, only files that downslope wrote. Give another folder.`,
    json: (why: string) =>
      `This file is not valid JSON (${why.replace(/, (?:\.\.\.)?"[\s\S]*is not valid JSON$/, '')}). Correct the file, or export it again.`,
    twice: (name: string) => `Two inputs are called ${JSON.stringify(name)}. Give them different names.`,
  }),
  ...messages('input', 'note', {
    'no-waypoints': (files: number) =>
      `Nothing is worked out: ${files === 1 ? 'the file has' : `the ${files} files have`} no marks of yours with usable coordinates. Check that your export includes the waypoints.`,
  }),
};

/** Says where options go that messages of a lake name. */
const optionsInBatch = (why: string): string =>
  / --[a-z]/.test(why) ? '\nPut options for enrich after --, or into downslope.yaml in the lake folder.' : '';

export const batchMessages = messages('batch', 'error', {
  'no-waypoints': 'This lake folder has no waypoints. Put GPX files into it or into its folder waypoints/.',
  'not-trusted': (folder: string, asks: readonly string[]) =>
    `This lake was not run, because it needs your permission: its folder ${listed(asks)}. If you know who made the folder and want this, run: downslope trust ${asTyped(folder)}`,
  'no-folder': (path: string) => `No such file or folder: ${path}. Check the spelling.`,
  jobs: (why: string) =>
    `This is not a list of lakes (${why}). Under "lakes:", give the folder of each lake, or its "waypoints:", its "out:" and, if you have logs, its "soundings:".`,
  'job-failed stopped': (lake: string) =>
    `Lake "${lake}" was stopped before it was done. Run the batch again.`,
  'job-failed': (lake: string, status: number, why: string, isWritten: boolean) =>
    isWritten
      ? `The plan of lake "${lake}" is written, but with errors: ${why}${optionsInBatch(why)}`
      : why === ''
        ? `Lake "${lake}" failed without a message (exit status ${status}). Run this lake alone to see why.`
        : `Lake "${lake}" failed (exit status ${status}): ${why}${optionsInBatch(why)}`,
});
