import { toAscii } from '../table/index.ts';

/** Names as a unit can take them. */
export interface NameLimits {
  /** Characters (code points). */
  readonly maxName?: number;
  readonly ascii: boolean;
  readonly capitals?: boolean;
}

/** Gives out names that a unit can take, each one once when there are limits. */
export interface NameGiver {
  /** The name to show for a waypoint; the same name when it fits and is free. */
  waypoint(name: string): string;
  /**
   * The name of a boat position of the waypoint that is shown under `shown`.
   *
   * @param makesWay Number it where a waypoint has that name, also without limits.
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

/** A name in printable ASCII; one that is already stays as it is. */
function asciiName(name: string): string {
  if (/^[ -~]*$/.test(name)) return name;
  return toAscii(Array.from(name.normalize('NFC'), (letter) => LETTERS[letter] ?? letter).join(''));
}

/**
 * Without limits every name stays; with limits names are cut, and numbered where two would be the same.
 *
 * @param names All names that waypoints have, so that none that fits loses its name to one that was cut.
 */
export function createNameGiver(names: readonly string[], limits: NameLimits): NameGiver {
  if (limits.maxName === undefined && !limits.ascii && !limits.capitals) {
    const known = new Set(names.map(fold));
    const numbered = (stem: string): string => {
      for (let n = 2; ; n++) if (!known.has(fold(`${stem}${n}`))) return `${stem}${n}`;
    };
    return {
      waypoint: (name) => name,
      partner(shown, suffix, makesWay = false) {
        const name = `${shown} ${suffix}`;
        return makesWay && known.has(fold(name)) ? numbered(name) : name;
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
    if (plain(name) === name && length(name) <= limit) reserved.add(fold(name));
  }
  /** The next number to try for a cut name; smaller ones are taken. */
  const next = new Map<string, number>();
  const take = (name: string): string => {
    taken.add(fold(name));
    return name;
  };
  const give = (stem: string, tail: string, isFree: (name: string) => boolean): string => {
    const plainName = `${cut(stem, limit - tail.length)}${tail}`;
    if (!taken.has(fold(plainName)) && isFree(plainName)) return take(plainName);
    for (let digits = 1; digits + tail.length <= limit; digits++) {
      const head = cut(stem, limit - tail.length - digits);
      const key = `${digits} ${fold(head)}\0${tail}`;
      for (let n = next.get(key) ?? Math.max(2, 10 ** (digits - 1)); n < 10 ** digits; n++) {
        next.set(key, n + 1);
        const name = `${head}${n}${tail}`;
        if (!taken.has(fold(name)) && isFree(name)) return take(name);
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
        (candidate) => (fits && candidate === name) || !reserved.has(fold(candidate)),
      );
    },
    partner: (shown, suffix) =>
      give(plain(shown), ` ${suffix}`, (candidate) => !reserved.has(fold(candidate))),
  };
}

const length = (text: string): number => Array.from(text).length;

const cut = (text: string, limit: number): string =>
  length(text) <= limit ? text : Array.from(text).slice(0, Math.max(0, limit)).join('').trimEnd();

const fold = (name: string): string => name.trim().toLowerCase();
