import { group } from 'd3-array';
import { omit } from 'es-toolkit/object';
import type { CsvFile, Diagnostic, Place } from '../contract/index.ts';
import { nearNames, parseClock, parseDirection, plainName, dayPlanMessages as says } from '../text/index.ts';

/** Wishes and beliefs about one mark, from the list of marks or the options. */
export interface MarkNote {
  /** 1 (ordinary) to 3 (highest). */
  readonly priority?: number;
  /** Chance that fish bite at the mark, as the user estimates it, 0 to 1. */
  readonly confidence?: number;
  /** Time from which the mark may be fished, s of the day. */
  readonly open?: number;
  /** Time until which the mark may be fished, s of the day. */
  readonly close?: number;
  /** Factors on the value from `from` to `to`, s of the day. */
  readonly times?: readonly FactorBetween[];
  /** Factors on the value for wind out of the sector that runs clockwise from `from` to `to`, deg. */
  readonly winds?: readonly FactorBetween[];
  /** `skip` forbids a stop; `must` asks for a stop, `first` and `last` for the first and the last stop. */
  readonly wish?: Wish;
}

interface FactorBetween {
  readonly from: number;
  readonly to: number;
  readonly factor: number;
}

export type Wish = (typeof WISHES)[number];
const WISHES = ['must', 'skip', 'first', 'last'] as const;

/**
 * Reads the list of marks. Only the column `mark` is required. Other columns are `priority`, `confidence`,
 * `open` (or `not before` or `not_before`), `close`, `times` (`06:00-09:00=1.5; 2pm-4pm=0.5`), `winds`
 * (`S-W=0.6`), and `plan` (must, skip, first or last). Instead of `plan`, a column named must, skip, first or
 * last may say yes. A wrong value is reported and counts as empty.
 *
 * @param names Names of all marks of the lake. A row is reported and not used if `markNames` finds no mark.
 */
export function readMarkNotes(
  file: CsvFile,
  names: ReadonlySet<string>,
): { notes: Map<string, MarkNote>; diagnostics: Diagnostic[] } {
  const notes = new Map<string, MarkNote>();
  const diagnostics: Diagnostic[] = [];
  const at = (line: number): Place => ({ file: file.file, line });
  if (!file.header.includes('mark')) {
    diagnostics.push(says['mark-value no-column'](at(1), file.header.join(',')));
    return { notes, diagnostics };
  }
  const find = markNames(names);
  for (const { line, values } of file.rows) {
    const refuse = (column: string, expected: string): undefined =>
      void diagnostics.push(says['mark-value'](at(line), column, values[column] ?? '', expected));
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
      confidence: read('confidence', parseShare, 'a chance from 0 to 1, or in percent such as 60%'),
      open: time('open') ?? time('not before') ?? time('not_before'),
      close: time('close'),
      times: read('times', parseTimes, `hours and a factor up to ${MAX_FACTOR}, such as 06:00-09:00=1.5`),
      winds: read(
        'winds',
        parseWinds,
        `directions and a factor up to ${MAX_FACTOR}, such as 180-270=0.6 or S-W=0.6`,
      ),
      wish:
        read('plan', parseWish, `one of ${WISHES.join(', ')}`) ??
        WISHES.find((wish) => read(wish, parseYes, 'yes, no or nothing')),
    };
    const name = (values.mark ?? '').trim();
    const known = find(name);
    if (known !== undefined) notes.set(known, note);
    else diagnostics.push(says['mark-unknown'](at(line), name, nearNames(name, names)));
  }
  return { notes, diagnostics };
}

/** Returns a list of marks without its wishes. */
export const withoutWishes = (file: CsvFile): CsvFile => ({
  ...file,
  rows: file.rows.map((row) => ({ ...row, values: omit(row.values, ['plan', ...WISHES]) })),
});

const parseWish = (text: string): Wish | undefined => WISHES.find((wish) => wish === text.toLowerCase());

function parseYes(text: string): boolean | undefined {
  if (/^(?:y|yes|x|1|true|must|skip|first|last)$/i.test(text)) return true;
  return /^(?:n|no|0|false|-)$/i.test(text) ? false : undefined;
}

function parseShare(text: string): number | undefined {
  const [, percent, share] = /^(?:(\d{1,3})\s*%|(0?\.\d+|[01](?:\.\d*)?))$/.exec(text) ?? [];
  const value = percent === undefined ? Number(share) : Number(percent) / 100;
  return value <= 1 ? value : undefined;
}

const parseTimes = (text: string) =>
  parseParts(text, /^([\d:.apm ]+?)\s*-\s*([\d:.apm ]+?)\s*=\s*(\d+(?:\.\d+)?)$/i, parseClock);

const parseWinds = (text: string) =>
  parseParts(text, /^([a-z\d.]+)\s*-\s*([a-z\d.]+)\s*=\s*(\d+(?:\.\d+)?)$/i, parseDirection);

function parseParts(
  text: string,
  pattern: RegExp,
  parseEnd: (text: string) => number | undefined,
): FactorBetween[] | undefined {
  const parts: FactorBetween[] = [];
  for (const part of text.split(';').map((piece) => piece.trim())) {
    if (part === '') continue;
    const match = pattern.exec(part);
    if (match === null) return undefined;
    const [from, to, factor] = [parseEnd(match[1]), parseEnd(match[2]), Number(match[3])];
    if (from === undefined || to === undefined || factor > MAX_FACTOR) return undefined;
    parts.push({ from, to, factor });
  }
  return parts;
}

const MAX_FACTOR = 10;

/** Returns the factor for wind from a direction, deg; 1 without a direction or a matching factor. */
export function windShare(note: MarkNote | undefined, from: number | undefined): number {
  if (from === undefined) return 1;
  const part = note?.winds?.find((wind) =>
    wind.from <= wind.to ? from >= wind.from && from <= wind.to : from >= wind.from || from <= wind.to,
  );
  return part?.factor ?? 1;
}

/**
 * Returns a function that finds the mark meant by typed text: the exact name, else the only name that is
 * equal when case, spaces and common punctuation are ignored.
 */
export function markNames(names: Iterable<string>): (text: string) => string | undefined {
  const exact = new Set(names);
  const plain = group(exact, plainName);
  return (text) => {
    const name = text.trim();
    if (exact.has(name)) return name;
    const same = plain.get(plainName(name)) ?? [];
    return same.length === 1 ? same[0] : undefined;
  };
}
