import { systemError } from '../system-errors.ts';
import { messages } from './make.ts';

/** Formats a size in tenths of a GiB, rounded up so that a size above a limit looks larger. */
const gibibytes = (bytes: number): string => `${(Math.ceil((10 * bytes) / 2 ** 30) / 10).toFixed(1)} GiB`;

/** Messages about files that cannot be read or written. The place of each is the path as the user gave it. */
export const fileMessages = messages('file', 'error', {
  exists: 'This file is already there. Add --force to replace the file, or give this output another path.',
  'is-input': (input: string) =>
    `The output would replace the input ${JSON.stringify(input)}. Give the output another path. Only the enriched GPX can replace its input, with --in-place.`,
  /** @param source An input that `--in-place` never replaces, or any input if the command has no `--in-place`. */
  'is-input source': (source: string) =>
    `The output would replace the input ${JSON.stringify(source)}. Give the output another path.`,
  'not-a-file': (kind: string) =>
    `Nothing can be written here: this is a ${kind}. Give this output the path of a file.`,
  'dangling-link': (to: string) =>
    `Nothing can be written here: this is a link to ${JSON.stringify(to)}, which does not exist. Remove the link, or give this output another path.`,
  'dangling-link folder': (folder: string, to: string) =>
    `Nothing can be written here: the link ${JSON.stringify(folder)} leads to ${JSON.stringify(to)}, which does not exist. Connect the card or disk that it leads to, or give this output another path.`,
  'link-leads-out': (link: string, to: string) =>
    `Nothing was written: ${JSON.stringify(link)} is a link that leads out of the folder of your inputs, to ${JSON.stringify(to)}. If you want the output there, give the path without the link.`,
  'no-directory': (directory: string) =>
    `Nothing can be written here: there is no folder ${JSON.stringify(directory)}. Make the folder first, or give this output another path.`,
  'no-directory not-made': (folder: string, reason: string) =>
    `Nothing can be written here: the folder ${JSON.stringify(folder)} cannot be made (${systemError(reason)}). Give this output another path.`,
  'not-a-folder': (folder: string) =>
    `Nothing can be written here: ${JSON.stringify(folder)} is a file, not a folder. Give this output another path.`,
  'not-writable': (what: string, reason: string) => [
    `Nothing can be written here: the ${what} does not allow writing (${systemError(reason)}). Give this output another path.`,
    { values: { reason: `the ${what} does not allow writing: ${systemError(reason)}` } },
  ],
  'not-writable path': (reason: string) => [
    `Nothing can be written here: this path cannot be used (${systemError(reason)}). Give this output another path.`,
    { values: { reason: systemError(reason) } },
  ],
  'same-target':
    'Nothing was written: two outputs have this path. Give each output its own path, and each input once and under a name of its own.',
  'same-target linked': (other: string) =>
    `Nothing was written: this output and ${JSON.stringify(other)} are the same file. Give one of them another path.`,
  write: (reason: string, advice: string) => [
    `This output could not be written (${systemError(reason)}). What was there before is unchanged. ${advice}`,
    { values: { reason: systemError(reason) } },
  ],
  /** For standard output, which cannot be left as it was before. */
  'write standard-output': (reason: string, advice: string) =>
    `This output could not be written, or only a part of it (${systemError(reason)}). ${advice}`,
  'read-back':
    'This file was not written: reading it back did not give the same bytes. The card or disk may be failing. Write to another one.',
  'too-long': (bytes: number) =>
    `This file is too large for the card: it is ${gibibytes(bytes)}, and the card takes files under 4 GiB. Write to another disk.`,
  'too-long input': (bytes: number) =>
    `This file is too large: it is ${gibibytes(bytes)}, and only files under 2 GiB can be read. Split the file.`,
  changed:
    'This file is not used: it changed while it was read. Run again when no program is writing to the file.',
  'changed since':
    'This file was not replaced: another run or program changed it after it was read. Run again.',
  'read kind': (kind: string) => `Nothing can be read here: this is a ${kind}. Give the path of a file.`,
  read: (reason: string) =>
    `This path cannot be read (${systemError(reason)}). Check the path and its permissions.`,
});
