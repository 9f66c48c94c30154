import type { Diagnostic } from '../../contract/diagnostic.ts';

const error = (code: string, message: string): Diagnostic => ({ severity: 'error', code, message });

/** `found` is the value as typed, `expected` a noun phrase with unit and limit. */
export const optionRange = (option: string, found: string, expected: string): Diagnostic =>
  error('option/range', `Unexpected ${option} ${found}, expected ${expected}.`);

export const optionValue = (option: string, found: string, expected: string): Diagnostic =>
  error('option/value', `Unexpected ${option} ${JSON.stringify(found)}, expected ${expected}.`);

export const optionUnknown = (option: string, known: string, command = 'COMMAND'): Diagnostic =>
  error('option/unknown', `Unexpected option ${option}, expected ${known}. See downslope ${command} --help.`);

export const optionFlagTaken = (flag: string, first: string, second: string): Diagnostic =>
  error(
    'option/flag-taken',
    `Unexpected flag --${flag} in plugin "${second}", expected a flag of its own: plugin "${first}" already defines --${flag}. Rename it, or leave the flag out and use --${second}.OPTION.`,
  );

export const commandLine = (message: string): Diagnostic => error('option/command-line', message);

export const nothingToSave = (): Diagnostic => ({
  severity: 'error',
  code: 'command/nothing-to-save',
  message:
    'Unexpected --save, expected options that say how the logs are read, such as --depth-unit ft or --crs EPSG:32633. Give them with the logs they are true of.',
});

export const nothingToCheck = (): Diagnostic =>
  commandLine('Found neither waypoints nor --soundings, need one of them. See downslope check --help.');

export const configUnreadable = (file: string, why: string): Diagnostic => ({
  severity: 'error',
  code: 'config/unreadable',
  message: `Unexpected content, expected a YAML mapping of option names to values (${why}). Mend the file or leave --config out.`,
  place: { file },
});

export const configKey = (
  file: string,
  line: number | undefined,
  key: string,
  known: string,
): Diagnostic => ({
  severity: 'error',
  code: 'config/key',
  message: `Unexpected key ${JSON.stringify(key)}, expected ${known}. See downslope enrich --help.`,
  place: { file, line },
});

/** The page of `view` has no address to be served at. */
export const cannotListen = (host: string, port: number, why: string): Diagnostic =>
  error(
    'view/address',
    `Unexpected --host ${host} with --port ${port}, expected an address of this machine with a free port (${why}). Pass --port 0 for any free one, or leave --host out.`,
  );

export const inputMissing = (file: string): Diagnostic => ({
  severity: 'error',
  code: 'input/missing',
  message: 'Unexpected path, expected a file or folder that exists. Check the spelling.',
  place: { file },
});

export const inputUnreadable = (file: string, why: string): Diagnostic => ({
  severity: 'error',
  code: 'input/unreadable',
  message: `Unexpected failure to read (${why}), expected a readable file. Check its permissions.`,
  place: { file },
});

export const inputNoFiles = (file: string, kinds: string): Diagnostic => ({
  severity: 'error',
  code: 'input/no-files',
  message: `Unexpected folder without ${kinds}, expected at least one such file in it or below it.`,
  place: { file },
});

export const inputNotJson = (file: string, why: string): Diagnostic => ({
  severity: 'error',
  code: 'input/json',
  message: `Unexpected content (${why}), expected JSON. Export the file again or mend it.`,
  place: { file },
});

export const inputNotUsed = (files: number): Diagnostic => ({
  severity: 'note',
  code: 'input/no-waypoints',
  message: `Found no waypoints in ${files === 1 ? 'the file' : `${files} files`}; the output is the input.`,
});

export const commandUnknown = (name: string, known: readonly string[]): Diagnostic =>
  error(
    'command/unknown',
    `Unexpected command ${JSON.stringify(name)}, expected one of ${known.join(', ')}. See downslope --help.`,
  );
