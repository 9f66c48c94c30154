import type { Diagnostic } from '../../contract/index.ts';

const say = (code: string, message: string, file: string): Diagnostic => ({
  severity: 'error',
  code: `file/${code}`,
  message,
  place: { file },
});

export const targetExists = (path: string): Diagnostic =>
  say(
    'exists',
    'Unexpected existing file, expected none. Pass --force to replace it, or give another --out.',
    path,
  );

export const targetIsInput = (path: string, input: string): Diagnostic =>
  say(
    'is-input',
    `Unexpected output that is the input ${JSON.stringify(input)}, expected another file. Give another --out, or pass --in-place to replace the input and keep a backup.`,
    path,
  );

/** `source` is read by the run and never written, not even in place. */
export const targetIsSource = (path: string, source: string): Diagnostic =>
  say(
    'is-input',
    `Unexpected output that is the input ${JSON.stringify(source)}, expected another file. Give the output another path.`,
    path,
  );

export const targetIsNoFile = (path: string, kind: string): Diagnostic =>
  say(
    'not-a-file',
    `Unexpected ${kind}, expected a file. Give the path of a file, or - for standard output.`,
    path,
  );

export const danglingLink = (path: string, to: string): Diagnostic =>
  say(
    'dangling-link',
    `Unexpected link to ${JSON.stringify(to)}, which does not exist, expected a file. Remove the link.`,
    path,
  );

export const noDirectory = (path: string, directory: string): Diagnostic =>
  say(
    'no-directory',
    `Unexpected missing directory ${JSON.stringify(directory)}, expected one. Create it.`,
    path,
  );

export const notAFolder = (path: string, folder: string): Diagnostic =>
  say(
    'not-a-folder',
    `Unexpected file ${JSON.stringify(folder)}, expected a folder. Give another path for this output.`,
    path,
  );

export const folderLinkDangles = (path: string, folder: string, to: string): Diagnostic =>
  say(
    'dangling-link',
    `Unexpected link ${JSON.stringify(folder)} to ${JSON.stringify(to)}, which does not exist, expected a folder. Put the card in, or give another path for this output.`,
    path,
  );

export const folderNotMade = (path: string, folder: string, reason: string): Diagnostic =>
  say(
    'no-directory',
    `Unexpected failure to make the folder ${JSON.stringify(folder)} (${reason}), expected room and permission. Give another path for this output.`,
    path,
  );

export const notWritable = (path: string, what: string, reason: string): Diagnostic =>
  say(
    'not-writable',
    `Unexpected ${what} that cannot be written (${reason}), expected one that can. Give another --out.`,
    path,
  );

export const sameTarget = (path: string, other: string): Diagnostic =>
  say(
    'same-target',
    `Unexpected output that is also the output ${JSON.stringify(other)}, expected two files. Rename one.`,
    path,
  );

export const writeFailed = (path: string, reason: string, advice: string): Diagnostic =>
  say(
    'write',
    `Unexpected failure to write (${reason}), expected room and permission; the old file is as it was. ${advice}`,
    path,
  );

export const readBackDiffers = (path: string): Diagnostic =>
  say(
    'read-back',
    'Unexpected bytes read back after writing, expected those written. The card may be broken: write to another.',
    path,
  );

export const fileTooLong = (path: string, bytes: number): Diagnostic =>
  say(
    'too-long',
    `Unexpected file of ${bytes} bytes, expected less than 4 GiB on this card. Pass --max-waypoints, or write to another disk.`,
    path,
  );

export const inputChanged = (path: string): Diagnostic =>
  say(
    'changed',
    'Unexpected change of the file while it was read, expected none. Run again when nothing writes to it.',
    path,
  );

export const inputUnreadable = (path: string, reason: string): Diagnostic =>
  say(
    'read',
    `Unexpected file that cannot be read (${reason}), expected one that can. Check the path.`,
    path,
  );

export const inputTooLong = (path: string, bytes: number): Diagnostic =>
  say('too-long', `Unexpected file of ${bytes} bytes, expected less than 2 GiB. Split it.`, path);
