import type { Diagnostic } from '../../contract/index.ts';

const say = (code: string, message: string, file: string): Diagnostic => ({
  severity: 'error',
  code: `file/${code}`,
  message,
  place: { file },
});

export const targetExists = (path: string): Diagnostic =>
  say('exists', 'This file is already there. Add --force to replace it, or give another --out.', path);

export const targetIsInput = (path: string, input: string): Diagnostic =>
  say(
    'is-input',
    `The output would replace the input ${JSON.stringify(input)}. Give another --out, or add --in-place to replace it and keep a backup.`,
    path,
  );

/** `source` is read by the run and never written, not even in place. */
export const targetIsSource = (path: string, source: string): Diagnostic =>
  say(
    'is-input',
    `The output would replace the input ${JSON.stringify(source)}. Give the output another path.`,
    path,
  );

export const targetIsNoFile = (path: string, kind: string): Diagnostic =>
  say(
    'not-a-file',
    `Nothing can be written here: this is a ${kind}. Give the path of a file, or - for standard output.`,
    path,
  );

export const danglingLink = (path: string, to: string): Diagnostic =>
  say(
    'dangling-link',
    `Nothing can be written here: this link leads to ${JSON.stringify(to)}, which does not exist. Remove the link.`,
    path,
  );

export const linkLeadsOut = (path: string, link: string, to: string): Diagnostic =>
  say(
    'link-leads-out',
    `Nothing was written: ${JSON.stringify(link)} is a link that leads out of the folder of your inputs, to ${JSON.stringify(to)}. If you want the output there, give that path.`,
    path,
  );

export const noDirectory = (path: string, directory: string): Diagnostic =>
  say(
    'no-directory',
    `Nothing can be written here: there is no folder ${JSON.stringify(directory)}. Create it.`,
    path,
  );

export const notAFolder = (path: string, folder: string): Diagnostic =>
  say(
    'not-a-folder',
    `Nothing can be written here: ${JSON.stringify(folder)} is a file, not a folder. Give this output another path.`,
    path,
  );

export const folderLinkDangles = (path: string, folder: string, to: string): Diagnostic =>
  say(
    'dangling-link',
    `Nothing can be written here: the link ${JSON.stringify(folder)} leads to ${JSON.stringify(to)}, which does not exist. Put the card in, or give this output another path.`,
    path,
  );

export const folderNotMade = (path: string, folder: string, reason: string): Diagnostic =>
  say(
    'no-directory',
    `The folder ${JSON.stringify(folder)} cannot be made (${reason}). Give this output another path.`,
    path,
  );

export const notWritable = (path: string, what: string, reason: string): Diagnostic =>
  say(
    'not-writable',
    `Nothing can be written here: the ${what} does not allow it (${reason}). Give another --out.`,
    path,
  );

export const sameTarget = (path: string, other: string): Diagnostic =>
  say(
    'same-target',
    `Two outputs would be one file: this is also ${JSON.stringify(other)}. Rename one.`,
    path,
  );

export const writeFailed = (path: string, reason: string, advice: string): Diagnostic =>
  say('write', `This file could not be written (${reason}); the old one is unchanged. ${advice}`, path);

export const readBackDiffers = (path: string): Diagnostic =>
  say(
    'read-back',
    'This file reads back differently from what was written. The card may be broken: write to another.',
    path,
  );

export const fileTooLong = (path: string, bytes: number): Diagnostic =>
  say(
    'too-long',
    `This file does not fit on the card: it has ${bytes} bytes, and the card takes files under 4 GiB. Add --max-waypoints, or write to another disk.`,
    path,
  );

export const inputChanged = (path: string): Diagnostic =>
  say('changed', 'This file changed while it was read. Run again when nothing is writing to it.', path);

export const inputChangedSince = (path: string): Diagnostic =>
  say(
    'changed',
    'This file was not replaced: another run or program changed it after it was read. Run again.',
    path,
  );

export const inputUnreadable = (path: string, reason: string): Diagnostic =>
  say('read', `This file cannot be read (${reason}). Check the path.`, path);

export const inputTooLong = (path: string, bytes: number): Diagnostic =>
  say(
    'too-long',
    `This file is too long: it has ${bytes} bytes, and less than 2 GiB can be read. Split it.`,
    path,
  );
