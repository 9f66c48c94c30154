import { messages } from './make.ts';

const mebibytes = (bytes: number): string => `${Math.ceil(bytes / 2 ** 20)} MiB`;

/** Messages about the user's small CSV files: lure box, level readings, marks. */
export const csvFileMessages = messages('csv', 'error', {
  unreadable: (what: string, why: string) =>
    `The ${what} cannot be read (${why}). Check its path and permissions.`,
  foreign: (what: string, kind: string) =>
    `This is ${kind}, but the ${what} must be CSV text. Export it as CSV.`,
  empty: (what: string) => `The ${what} is empty. Give it a header line and rows, or leave it out.`,
  'too-large': (what: string, bytes: number, most: number) =>
    `This file is too large: it has ${mebibytes(bytes)}, and the ${what} may have ${mebibytes(most)} at most. Is it the right file?`,
  encoding: (what: string) =>
    `The ${what} cannot be read: it begins like UTF-16, but the rest of it is not UTF-16. Save it as UTF-8.`,
  header: (what: string, missing: readonly string[], seen: readonly string[]) =>
    `The ${what} lacks ${missing.length === 1 ? 'the column' : 'the columns'} ${missing.join(', ')}: its header is ${seen.join(',')}. Add ${missing.length === 1 ? 'it' : 'them'}, or correct the header.`,
  'duplicate-column': (name: string) => `Two columns are called "${name}". Rename or remove one.`,
  fields: (found: number, expected: number) =>
    `This line has ${found} ${found === 1 ? 'field' : 'fields'} where the header has ${expected}. ${found < expected ? 'Add the missing fields; leave unknown ones empty.' : 'Put quotes around values that hold the separator.'}`,
  quote: 'A quotation mark in this line is not closed, or not doubled inside a value. Correct the line.',
  control: (code: number) =>
    `The file is damaged here: this line holds a character that is not text (hex ${code.toString(16).padStart(2, '0')}). Correct the line.`,
});
