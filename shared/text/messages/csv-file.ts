import { systemError } from '../system-errors.ts';
import { messages } from './make.ts';

const mebibytes = (bytes: number): string => `${Math.ceil(bytes / 2 ** 20)} MiB`;

/** Messages about the user's small CSV files, such as the lure box and level readings. */
export const csvFileMessages = messages('csv', 'error', {
  unreadable: (what: string, why: string) =>
    `The ${what} cannot be read (${systemError(why)}). Check its path and its permissions, or copy it again.`,
  foreign: (what: string, kind: string) =>
    `This is ${kind}, but the ${what} must be CSV text. Export the table as CSV.`,
  empty: (what: string) =>
    `The ${what} has no header line. Write a header line and rows, or leave the file out.`,
  'too-large': (what: string, bytes: number, most: number) =>
    `This file is too large to be the ${what}: it is ${mebibytes(bytes)}, and the limit is ${mebibytes(most)}. Check that this is the right file.`,
  encoding: (what: string) =>
    `The ${what} cannot be read: its first bytes say UTF-16, but the rest is not UTF-16. Save the file as UTF-8.`,
  header: (what: string, missing: readonly string[], seen: readonly string[]) =>
    `The ${what} lacks ${missing.length === 1 ? 'the column' : 'the columns'} ${missing.join(', ')}: its header is ${seen.join(',')}. Add ${missing.length === 1 ? 'the column' : 'the columns'}, or correct the header.`,
  'duplicate-column': (name: string) => `Two columns are called "${name}". Rename or remove one of them.`,
  fields: (found: number, expected: number) =>
    `This line has ${found} ${found === 1 ? 'field' : 'fields'} where the header has ${expected}. ${found < expected ? 'Add the missing fields; leave unknown ones empty.' : 'Put quotes around values that contain the separator.'}`,
  quote:
    'This line cannot be read: a quotation mark in it is not closed, or not doubled inside a value. Correct the line.',
  control: (code: number) =>
    `This file is damaged: the line contains a character that is not text (hex ${code.toString(16).padStart(2, '0')}). Correct the line.`,
});
