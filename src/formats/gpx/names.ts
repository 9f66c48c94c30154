import { toAscii } from '../table/index.ts';
import type { GpxOutputOptions } from './output-options.ts';

/** ASCII spelling of letters that do not decompose into an ASCII letter and a diacritic. */
const LETTERS: Readonly<Record<string, string>> = {
  ß: 'ss',
  æ: 'ae',
  Æ: 'AE',
  œ: 'oe',
  Œ: 'OE',
  ø: 'o',
  Ø: 'O',
  đ: 'd',
  Đ: 'D',
  ð: 'd',
  Ð: 'D',
  þ: 'th',
  Þ: 'Th',
  ł: 'l',
  Ł: 'L',
  ı: 'i',
};

function asciiName(name: string): string {
  if (/^[ -~]*$/.test(name)) return name;
  return toAscii(Array.from(name.normalize('NFC'), (letter) => LETTERS[letter] ?? letter).join(''));
}

/**
 * Creates an allocator of names that a chartplotter can display. Without limits, names of waypoints stay
 * unchanged. With limits, names are cut or respelled as needed, and equal names are numbered.
 *
 * @param names Names of all waypoints. Names that fit unchanged are not given to other waypoints.
 */
export function createNameAllocator(
  names: readonly string[],
  limits: Pick<GpxOutputOptions, 'maxName' | 'ascii' | 'capitals'>,
) {
  const isLimited = limits.maxName !== undefined || limits.ascii || limits.capitals;
  const limit = limits.maxName ?? Number.POSITIVE_INFINITY;
  const plain = (name: string): string => {
    const text = limits.ascii ? asciiName(name) : name;
    return limits.capitals ? text.toUpperCase() : text;
  };
  const taken = new Set<string>();
  const reserved = new Set<string>();
  for (const name of names) {
    if (plain(name) === name && length(name) <= limit) reserved.add(foldCase(name));
  }
  /** Next number to try, by the number of digits and the name around the number. */
  const next = new Map<string, number>();
  const take = (name: string): string => {
    taken.add(foldCase(name));
    return name;
  };
  const give = (stem: string, tail: string, isFree: (name: string) => boolean): string => {
    const plainName = `${cut(stem, limit - tail.length)}${tail}`;
    if (!taken.has(foldCase(plainName)) && isFree(plainName)) return take(plainName);
    for (let digits = 1; digits + tail.length <= limit; digits++) {
      const head = cut(stem, limit - tail.length - digits);
      const key = `${digits} ${foldCase(head)}\0${tail}`;
      for (let n = next.get(key) ?? Math.max(2, 10 ** (digits - 1)); n < 10 ** digits; n++) {
        next.set(key, n + 1);
        const name = `${head}${n}${tail}`;
        if (!taken.has(foldCase(name)) && isFree(name)) return take(name);
      }
    }
    // There are more waypoints than names of this length, so the chartplotter has to number them.
    return plainName;
  };
  return {
    /** Returns the name to display for a waypoint: its own name if that fits and is unused. */
    waypoint(name: string): string {
      if (!isLimited) return name;
      const fits = plain(name) === name && length(name) <= limit;
      const isFree = (candidate: string) =>
        (fits && candidate === name) || !reserved.has(foldCase(candidate));
      return give(plain(name), '', isFree);
    },
    /**
     * Returns the name of a boat position whose waypoint is displayed as `shown`.
     *
     * @param makesWay Whether the name gets a number if a waypoint already has it, even without limits.
     */
    partner(shown: string, suffix: string, makesWay = false): string {
      const isFree = (candidate: string) => !reserved.has(foldCase(candidate));
      if (isLimited) return give(plain(shown), ` ${suffix}`, isFree);
      let name = `${shown} ${suffix}`;
      for (let n = 2; makesWay && !isFree(name); n++) name = `${shown} ${suffix}${n}`;
      return name;
    },
  };
}

const length = (text: string): number => Array.from(text).length;

const cut = (text: string, limit: number): string =>
  length(text) <= limit ? text : Array.from(text).slice(0, Math.max(0, limit)).join('').trimEnd();

/** Returns a name as chartplotters compare names: in lower case, without surrounding blanks. */
export const foldCase = (name: string): string => name.trim().toLowerCase();
