import type { Diagnostic } from '../../contract/index.ts';
import { error } from './make.ts';

export const targetExists = (path: string): Diagnostic =>
  error('file/exists', 'This file is already there. Add --force to replace it, or give another --out.', {
    place: { file: path },
  });

export const targetIsInput = (path: string, input: string): Diagnostic =>
  error(
    'file/is-input',
    `The output would replace the input ${JSON.stringify(input)}. Give another --out, or add --in-place to replace it and keep a backup.`,
    { place: { file: path } },
  );

/** `source` is read by the run and never written, not even in place. */
export const targetIsSource = (path: string, source: string): Diagnostic =>
  error(
    'file/is-input',
    `The output would replace the input ${JSON.stringify(source)}. Give the output another path.`,
    { place: { file: path } },
  );

export const targetIsNoFile = (path: string, kind: string): Diagnostic =>
  error(
    'file/not-a-file',
    `Nothing can be written here: this is a ${kind}. Give the path of a file, or - for standard output.`,
    { place: { file: path } },
  );

export const danglingLink = (path: string, to: string): Diagnostic =>
  error(
    'file/dangling-link',
    `Nothing can be written here: this link leads to ${JSON.stringify(to)}, which does not exist. Remove the link.`,
    { place: { file: path } },
  );

export const linkLeadsOut = (path: string, link: string, to: string): Diagnostic =>
  error(
    'file/link-leads-out',
    `Nothing was written: ${JSON.stringify(link)} is a link that leads out of the folder of your inputs, to ${JSON.stringify(to)}. If you want the output there, give that path.`,
    { place: { file: path } },
  );

export const noDirectory = (path: string, directory: string): Diagnostic =>
  error(
    'file/no-directory',
    `Nothing can be written here: there is no folder ${JSON.stringify(directory)}. Create it.`,
    { place: { file: path } },
  );

export const notAFolder = (path: string, folder: string): Diagnostic =>
  error(
    'file/not-a-folder',
    `Nothing can be written here: ${JSON.stringify(folder)} is a file, not a folder. Give this output another path.`,
    { place: { file: path } },
  );

export const folderLinkDangles = (path: string, folder: string, to: string): Diagnostic =>
  error(
    'file/dangling-link',
    `Nothing can be written here: the link ${JSON.stringify(folder)} leads to ${JSON.stringify(to)}, which does not exist. Put the card in, or give this output another path.`,
    { place: { file: path } },
  );

export const folderNotMade = (path: string, folder: string, reason: string): Diagnostic =>
  error(
    'file/no-directory',
    `The folder ${JSON.stringify(folder)} cannot be made (${reason}). Give this output another path.`,
    { place: { file: path } },
  );

export const notWritable = (path: string, what: string, reason: string): Diagnostic =>
  error(
    'file/not-writable',
    `Nothing can be written here: the ${what} does not allow it (${reason}). Give another --out.`,
    { place: { file: path } },
  );

export const sameTarget = (path: string, other: string): Diagnostic =>
  error(
    'file/same-target',
    `Two outputs would be one file: this is also ${JSON.stringify(other)}. Rename one.`,
    { place: { file: path } },
  );

export const writeFailed = (path: string, reason: string, advice: string): Diagnostic =>
  error('file/write', `This file could not be written (${reason}); the old one is unchanged. ${advice}`, {
    place: { file: path },
  });

export const readBackDiffers = (path: string): Diagnostic =>
  error(
    'file/read-back',
    'This file reads back differently from what was written. The card may be broken: write to another.',
    { place: { file: path } },
  );

export const fileTooLong = (path: string, bytes: number): Diagnostic =>
  error(
    'file/too-long',
    `This file does not fit on the card: it has ${bytes} bytes, and the card takes files under 4 GiB. Add --max-waypoints, or write to another disk.`,
    { place: { file: path } },
  );

export const inputChanged = (path: string): Diagnostic =>
  error('file/changed', 'This file changed while it was read. Run again when nothing is writing to it.', {
    place: { file: path },
  });

export const inputChangedSince = (path: string): Diagnostic =>
  error(
    'file/changed',
    'This file was not replaced: another run or program changed it after it was read. Run again.',
    { place: { file: path } },
  );

export const inputUnreadable = (path: string, reason: string): Diagnostic =>
  error('file/read', `This file cannot be read (${reason}). Check the path.`, { place: { file: path } });

export const inputTooLong = (path: string, bytes: number): Diagnostic =>
  error(
    'file/too-long',
    `This file is too long: it has ${bytes} bytes, and less than 2 GiB can be read. Split it.`,
    { place: { file: path } },
  );
