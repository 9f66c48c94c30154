import type { CsvFile, Diagnostic } from '../contract/index.ts';
import { parseClock, parseNumber, dayPlan as says } from '../text/index.ts';

/** What the person says of a mark in the list of marks. */
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
}

/**
 * The list of marks: `mark,priority,confidence,open,close` and, when wanted, `times`
 * (`06:00-09:00=1.5; 14:00-16:00=0.5`) and `winds` (`180-270=0.6`). Only `mark` is required.
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
    const note: MarkNote = {
      priority: read(
        'priority',
        (text) => ([1, 2, 3].includes(parseNumber(text)) ? parseNumber(text) : undefined),
        '1, 2 or 3',
      ),
      confidence: read('confidence', parseShare, 'a share from 0 to 1'),
      open: read('open', parseClock, 'a time such as 06:30'),
      close: read('close', parseClock, 'a time such as 14:00'),
      times: read('times', parseTimes, 'hours and a factor such as 06:00-09:00=1.5'),
      winds: read('winds', parseWinds, 'directions and a factor such as 180-270=0.6'),
    };
    const name = (values.mark ?? '').trim();
    if (names.has(name)) notes.set(name, note);
    else diagnostics.push(says.markUnknown(file.file, line, name));
  }
  return { notes, diagnostics };
}

function parseShare(text: string): number | undefined {
  const value = parseNumber(text);
  return value >= 0 && value <= 1 ? value : undefined;
}

function parseTimes(text: string): MarkNote['times'] {
  return parseParts(text, /^([\d:]+)\s*-\s*([\d:]+)\s*=\s*([\d.]+)$/, parseClock);
}

function parseWinds(text: string): MarkNote['winds'] {
  return parseParts(text, /^(\d{1,3})\s*-\s*(\d{1,3})\s*=\s*([\d.]+)$/, (degrees) =>
    parseNumber(degrees) <= 360 ? parseNumber(degrees) % 360 : undefined,
  );
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
    const [from, to, factor] = [parseEnd(match[1]), parseEnd(match[2]), parseNumber(match[3])];
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
