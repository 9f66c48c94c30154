import { toAscii } from '../table/index.ts';

/** Limits on names in a unit. */
export interface NameLimits {
  /** Most characters (code points) in a name. */
  readonly maxName?: number;
  readonly ascii: boolean;
  readonly capitals?: boolean;
}

/** Assigns names that a unit can display; each name is unique when there are limits. */
export interface NameAllocator {
  /** The name to display for a waypoint; unchanged when it fits and is unused. */
  waypoint(name: string): string;
  /**
   * The name of a boat position whose waypoint is displayed as `shown`.
   *
   * @param makesWay Number the name when a waypoint already has it, even without limits.
   */
  partner(shown: string, suffix: string, makesWay?: boolean): string;
}

/** Letters that do not decompose into an ASCII letter and a diacritic. */
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

/** A name in printable ASCII; a name that already is stays unchanged. */
function asciiName(name: string): string {
  if (/^[ -~]*$/.test(name)) return name;
  return toAscii(Array.from(name.normalize('NFC'), (letter) => LETTERS[letter] ?? letter).join(''));
}

/**
 * Without limits every name stays unchanged. With limits, names are cut, and numbered when two would be the same.
 *
 * @param names All waypoint names, so that no name that fits is taken by a cut one.
 */
export function createNameAllocator(names: readonly string[], limits: NameLimits): NameAllocator {
  if (limits.maxName === undefined && !limits.ascii && !limits.capitals) {
    const known = new Set(names.map(foldCase));
    const numbered = (stem: string): string => {
      for (let n = 2; ; n++) if (!known.has(foldCase(`${stem}${n}`))) return `${stem}${n}`;
    };
    return {
      waypoint: (name) => name,
      partner(shown, suffix, makesWay = false) {
        const name = `${shown} ${suffix}`;
        return makesWay && known.has(foldCase(name)) ? numbered(name) : name;
      },
    };
  }
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
  /** The next number to try for a cut name; smaller numbers are taken. */
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
    // There are more waypoints than names of this length, so the unit has to number them.
    return plainName;
  };
  return {
    waypoint: (name) => {
      const fits = plain(name) === name && length(name) <= limit;
      return give(
        plain(name),
        '',
        (candidate) => (fits && candidate === name) || !reserved.has(foldCase(candidate)),
      );
    },
    partner: (shown, suffix) =>
      give(plain(shown), ` ${suffix}`, (candidate) => !reserved.has(foldCase(candidate))),
  };
}

const length = (text: string): number => Array.from(text).length;

const cut = (text: string, limit: number): string =>
  length(text) <= limit ? text : Array.from(text).slice(0, Math.max(0, limit)).join('').trimEnd();

/** A name as units compare names: case and blanks around it do not count. */
export const foldCase = (name: string): string => name.trim().toLowerCase();
