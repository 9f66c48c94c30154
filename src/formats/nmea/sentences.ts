export interface Sentence {
  /** Two-letter talker ID, such as `GP`. */
  readonly talker: string;
  /** Three-letter sentence type, such as `GGA`. */
  readonly kind: string;
  readonly fields: readonly string[];
}

const SENTENCE = /[$!]([A-Z]{2})([A-Z0-9]{3})((?:,[^,*$!]*)+)(?:\*([0-9A-Fa-f]{0,2}))?\s*$/;

/**
 * Reads the sentence on a line. A time or a tag block may precede the sentence.
 *
 * @returns Undefined for a line without a sentence; `checksum` for one with a wrong or cut checksum.
 */
export function parseSentence(line: string): Sentence | 'checksum' | undefined {
  const match = SENTENCE.exec(line);
  if (match === null) return undefined;
  const [whole, talker, kind, fields, checksum] = match;
  if (checksum !== undefined) {
    const body = whole.slice(1, whole.lastIndexOf('*'));
    let sum = 0;
    for (let i = 0; i < body.length; i++) sum ^= body.charCodeAt(i);
    if (checksum.length !== 2 || Number.parseInt(checksum, 16) !== sum) return 'checksum';
  }
  return { talker, kind, fields: fields.slice(1).split(',') };
}

/** Reads a plain decimal number; NaN for anything else. */
export const numberOf = (text: string | undefined): number =>
  text !== undefined && /^[+-]?(?:\d+\.?\d*|\.\d+)$/.test(text.trim()) ? Number(text) : Number.NaN;

/** Reads degrees from `ddmm.mmm` or `dddmm.mmm` and a hemisphere letter; NaN for other text. */
export function anglesOf(text: string, letter: string, digits: 2 | 3): number {
  const match = /^(\d{2,3})([0-5]\d(?:\.\d*)?)$/.exec(text);
  const sign = { N: 1, E: 1, S: -1, W: -1 }[letter];
  if (match === null || match[1].length !== digits || sign === undefined) return Number.NaN;
  if (digits === 2 ? !/[NS]/.test(letter) : !/[EW]/.test(letter)) return Number.NaN;
  const degrees = Number(match[1]) + Number(match[2]) / 60;
  return degrees <= (digits === 2 ? 90 : 180) ? sign * degrees : Number.NaN;
}

/** Reads seconds since midnight from `hhmmss.ss`; NaN for other text. */
export function clockOf(text: string): number {
  const match = /^([01]\d|2[0-3])([0-5]\d)([0-5]\d(?:\.\d*)?)$/.exec(text);
  return match === null ? Number.NaN : Number(match[1]) * 3600 + Number(match[2]) * 60 + Number(match[3]);
}

/** Returns the start of a day, s since 1970; NaN if invalid. @param year Two digits mean 1990 to 2089. */
export function dayOf(day: number, month: number, year: number): number {
  const full = year >= 100 ? year : year + (year < 90 ? 2000 : 1900);
  const date = new Date(Date.UTC(full, month - 1, day));
  return date.getUTCDate() === day && date.getUTCMonth() === month - 1 ? date.getTime() / 1000 : Number.NaN;
}
