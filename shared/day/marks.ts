import type { CsvFile, Diagnostic } from '../contract/index.ts';
import { nearNames, parseClock, parseDirection, dayPlan as says } from '../text/index.ts';
import { markNames } from './mark-names.ts';

/** What the user says of a mark in the list of marks. */
export interface MarkNote {
  /** 1 ordinary, 2, 3 the most. */
  readonly priority?: number;
  /** Belief that fish there will bite, 0 to 1. */
  readonly confidence?: number;
  /** s of the day between which it may be fished. */
  readonly open?: number;
  readonly close?: number;
  /** Value times this within hours of the day: light. */
  readonly times?: readonly { readonly from: number; readonly to: number; readonly factor: number }[];
  /** Value times this when the wind comes from between two directions, clockwise, deg. */
  readonly winds?: readonly { readonly from: number; readonly to: number; readonly factor: number }[];
  /** What the plan does with it: `must` be in it, `skip`, `first` or `last` stop. */
  readonly wish?: Wish;
}

export type Wish = (typeof WISHES)[number];
const WISHES = ['must', 'skip', 'first', 'last'] as const;

/**
 * The list of marks. Only the column `mark` is required; besides it `priority`, `confidence`, `open` (or `not before`),
 * `close`, `times` (`06:00-09:00=1.5; 2pm-4pm=0.5`), `winds` (`S-W=0.6`), and `plan` with must, skip, first or last,
 * or a column of each of these names with yes in it.
 *
 * @param names Names of all marks of the lake; a row with another name is reported and not used.
 */
export function readMarkNotes(
  file: CsvFile,
  names: ReadonlySet<string>,
): { notes: Map<string, MarkNote>; diagnostics: Diagnostic[] } {
  const notes = new Map<string, MarkNote>();
  const diagnostics: Diagnostic[] = [];
  if (!file.header.includes('mark')) {
    diagnostics.push(says.markValue(file.file, 1, 'header', file.header.join(','), 'a column named mark'));
    return { notes, diagnostics };
  }
  const find = markNames(names);
  for (const { line, values } of file.rows) {
    const refuse = (column: string, expected: string): undefined =>
      void diagnostics.push(says.markValue(file.file, line, column, values[column] ?? '', expected));
    const read = <T>(
      column: string,
      parse: (text: string) => T | undefined,
      expected: string,
    ): T | undefined => {
      const text = (values[column] ?? '').trim();
      return text === '' ? undefined : (parse(text) ?? refuse(column, expected));
    };
    const time = (column: string) => read(column, parseClock, 'a time such as 7:15 or 2:40pm');
    const note: MarkNote = {
      priority: read('priority', (text) => (/^[123]$/.test(text) ? Number(text) : undefined), '1, 2 or 3'),
      confidence: read('confidence', parseShare, 'a share from 0 to 1, or percent such as 60%'),
      open: time('open') ?? time('not before') ?? time('not_before'),
      close: time('close'),
      times: read('times', parseTimes, 'hours and a factor such as 06:00-09:00=1.5'),
      winds: read('winds', parseWinds, 'directions and a factor such as 180-270=0.6 or S-W=0.6'),
      wish: read('plan', parseWish, `one of ${WISHES.join(', ')}`) ?? wishOf(values, read),
    };
    const name = (values.mark ?? '').trim();
    const known = find(name);
    if (known !== undefined) notes.set(known, note);
    else diagnostics.push(says.markUnknown(file.file, line, name, nearNames(name, names)));
  }
  return { notes, diagnostics };
}

const parseWish = (text: string): Wish | undefined => WISHES.find((wish) => wish === text.toLowerCase());

/** The wish whose own column says yes. */
function wishOf(
  values: Readonly<Record<string, string>>,
  read: (
    column: string,
    parse: (text: string) => boolean | undefined,
    expected: string,
  ) => boolean | undefined,
): Wish | undefined {
  return WISHES.find((wish) => values[wish] !== undefined && read(wish, parseYes, 'yes, no or nothing'));
}

function parseYes(text: string): boolean | undefined {
  if (/^(?:y|yes|x|1|true|must|skip|first|last)$/i.test(text)) return true;
  return /^(?:n|no|0|false|-)$/i.test(text) ? false : undefined;
}

function parseShare(text: string): number | undefined {
  const percent = /^(\d{1,3})\s*%$/.exec(text);
  const value =
    percent !== null
      ? Number(percent[1]) / 100
      : /^(?:0?\.\d+|[01](?:\.\d*)?)$/.test(text)
        ? Number(text)
        : Number.NaN;
  return value >= 0 && value <= 1 ? value : undefined;
}

const parseFactor = (text: string): number => (/^\d+(?:\.\d+)?$/.test(text) ? Number(text) : Number.NaN);

function parseTimes(text: string): MarkNote['times'] {
  return parseParts(text, /^([\d:.apm ]+?)\s*-\s*([\d:.apm ]+?)\s*=\s*([\d.]+)$/i, parseClock);
}

function parseWinds(text: string): MarkNote['winds'] {
  return parseParts(text, /^([a-z\d.]+)\s*-\s*([a-z\d.]+)\s*=\s*([\d.]+)$/i, parseDirection);
}

function parseParts(
  text: string,
  pattern: RegExp,
  parseEnd: (text: string) => number | undefined,
): { from: number; to: number; factor: number }[] | undefined {
  const parts: { from: number; to: number; factor: number }[] = [];
  for (const part of text.split(';').map((piece) => piece.trim())) {
    if (part === '') continue;
    const match = pattern.exec(part);
    if (match === null) return undefined;
    const [from, to, factor] = [parseEnd(match[1]), parseEnd(match[2]), parseFactor(match[3])];
    if (from === undefined || to === undefined || !(factor <= MOST_FACTOR)) return undefined;
    parts.push({ from, to, factor });
  }
  return parts;
}

const MOST_FACTOR = 10;

/** Factor of a wind from a direction; 1 where nothing is said of it. */
export function windShare(note: MarkNote | undefined, from: number | undefined): number {
  if (from === undefined) return 1;
  const part = note?.winds?.find((wind) =>
    wind.from <= wind.to ? from >= wind.from && from <= wind.to : from >= wind.from || from <= wind.to,
  );
  return part?.factor ?? 1;
}
