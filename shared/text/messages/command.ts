import type { Diagnostic } from '../../contract/index.ts';
import { error, note } from './make.ts';

/** `found` is the value as typed; `expected` is a noun phrase with unit and limit. */
export const optionRange = (option: string, found: string, expected: string): Diagnostic =>
  error('option/range', `${option} ${found} is out of range: it must be ${expected}.`);

export const optionValue = (option: string, found: string, expected: string): Diagnostic =>
  error('option/value', `${option} ${JSON.stringify(found)} is not ${expected}.`);

/** `near` is an option of the command with a similar spelling. */
export const optionUnknown = (option: string, near?: string, command = 'COMMAND'): Diagnostic =>
  error(
    'option/unknown',
    `There is no option ${option}.${near === undefined ? '' : ` Did you mean ${near}?`} See downslope ${command} --help.`,
  );

export const outTwice = (): Diagnostic => error('option/value', 'Give --out or --in-place, not both.');

export const optionFlagTaken = (flag: string, first: string, second: string): Diagnostic =>
  error(
    'option/flag-taken',
    `Plugins "${first}" and "${second}" both define --${flag}. Rename one, or leave the flag out of "${second}" and use --${second}.OPTION.`,
  );

export const commandLine = (message: string): Diagnostic => error('option/command-line', message);

export const nothingToSave = (): Diagnostic =>
  error(
    'command/nothing-to-save',
    'Nothing to save: no option here says how to read the logs. Give options that fit these logs, such as --depth-unit ft or --crs EPSG:32633.',
  );

export const settingDiffers = (file: string, name: string, there: string): Diagnostic =>
  error(
    'command/setting-differs',
    `Nothing is saved: the file already has ${name} ${there}. Pass --force to replace it.`,
    { place: { file } },
  );

export const nothingToCheck = (): Diagnostic =>
  commandLine('Nothing to check: name waypoint files, or logs with --soundings. See downslope check --help.');

export const nothingSounded = (command = 'lake'): Diagnostic =>
  commandLine(
    `There are no soundings to model. Name logs or a folder of them. See downslope ${command} --help.`,
  );

export const lakeTooLarge = (): Diagnostic =>
  commandLine(
    'These logs span too much ground for one lake model. Give the logs of one lake at a time, or a coarser --cell.',
  );

export const nothingToUndo = (): Diagnostic =>
  commandLine('Name the enriched GPX files to restore. See downslope undo --help.');

export const configUnreadable = (file: string, why: string): Diagnostic =>
  error(
    'config/unreadable',
    `This is not a YAML mapping of option names to values (${why}). Correct it, or leave --config out.`,
    { place: { file } },
  );

export const configKey = (file: string, line: number | undefined, key: string, known: string): Diagnostic =>
  error('config/key', `Key ${JSON.stringify(key)} is not ${known}. See downslope enrich --help.`, {
    place: { file, line },
  });

/** The address for the page of `view` cannot be used. */
export const cannotListen = (host: string, port: number, why: string): Diagnostic =>
  error(
    'view/address',
    `The page cannot be served at ${host}, port ${port} (${why}). Add --port 0 for any free port, or leave --host out.`,
  );

export const inputMissing = (file: string): Diagnostic =>
  error('input/missing', 'No such file or folder. Check the spelling.', { place: { file } });

export const inputNoFiles = (file: string, kinds: string): Diagnostic =>
  error('input/no-files', `This folder holds no ${kinds}, and neither do the folders in it.`, {
    place: { file },
  });

export const inputNotJson = (file: string, why: string): Diagnostic =>
  error('input/json', `This is not JSON (${why}). Export it again, or correct it.`, { place: { file } });

export const demoFolderTaken = (folder: string): Diagnostic =>
  error(
    'demo/folder-taken',
    `Folder ${JSON.stringify(folder)} is not empty. Name another, or replace an earlier demo in it with --force.`,
  );

export const inputTwice = (name: string): Diagnostic =>
  error('input/twice', `Two inputs are called ${JSON.stringify(name)}. Give each a different name.`);

export const inputNotUsed = (files: number): Diagnostic =>
  note(
    'input/no-waypoints',
    `No waypoints in ${files === 1 ? 'this file' : `${files} files`}: the output is the same as the input.`,
  );

export const commandUnknown = (name: string, known: readonly string[]): Diagnostic =>
  error(
    'command/unknown',
    `There is no command ${JSON.stringify(name)}. The commands are ${known.join(', ')}. See downslope --help.`,
  );
