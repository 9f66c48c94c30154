import { mapValues } from 'es-toolkit/object';
import type { Diagnostic, Place, Severity } from '../../contract/index.ts';

export type At = Omit<Place, 'waypoint'>;

/** The text of a message, alone or with other parts of its diagnostic. */
type Text = string | readonly [message: string, about: Partial<Diagnostic>];
type Texts = Readonly<Record<string, Text | ((...values: never[]) => Text)>>;
type ValuesOf<T> = T extends (...values: infer V) => Text ? V : [];

/**
 * Makes a function for each code of an area. The function takes a place and the values for the text, and
 * returns the diagnostic. A word after the code tells messages with the same code apart.
 */
export const messages = <T extends Texts>(area: string, severity: Severity, texts: T) =>
  mapValues(texts, (text: Texts[string], key) => {
    const [what] = String(key).split(' ');
    return (place: Place | undefined, ...values: never[]): Diagnostic => {
      const said: Text = typeof text === 'function' ? text(...values) : text;
      const [message, about = {}] = typeof said === 'string' ? [said] : said;
      return { severity, code: `${area}/${what}`, message, ...(place && { place }), ...about };
    };
  }) as { readonly [K in keyof T]: (place: Place | undefined, ...values: ValuesOf<T[K]>) => Diagnostic };

/** Makes a message with a fixed text and a count. @param one Text for a count of 1. */
export const counted =
  (message: string, one = message) =>
  (count: number): Text => [count === 1 ? one : message, { count }];

/** Quotes a word of a command line if a shell would split or refuse it. */
export const asTyped = (path: string): string => (/[\s()&;<>|]/.test(path) ? JSON.stringify(path) : path);

/** Formats a count with its noun: `1 byte`, `2 bytes`. */
export const plural = (count: number, noun: string): string => `${count} ${noun}${count === 1 ? '' : 's'}`;

/** Lists the first `most` names, quoted, and the number of further names: `"a", "b" and 3 more`. */
export const quoteSome = (names: readonly string[], most = 12): string =>
  listed([
    ...names.slice(0, most).map(quote),
    ...(names.length > most ? [`${names.length - most} more`] : []),
  ]);

/** Writes a list: `a, b and c`. */
export const listed = (parts: readonly string[]): string =>
  [parts.slice(0, -1).join(', '), ...parts.slice(-1)].filter((part) => part !== '').join(' and ');

const LONGEST_QUOTE = 60;

/** Puts a value in quotes as JSON, cut to `LONGEST_QUOTE` and with no-break spaces escaped. */
export function quote(text: string): string {
  const short = text.length > LONGEST_QUOTE ? `${text.slice(0, LONGEST_QUOTE)}...` : text;
  return JSON.stringify(short).replaceAll('\u00a0', '\\u00a0');
}
