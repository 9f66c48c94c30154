/** True when a unit may have made `name` from `written`: capitalized, cut, numbered or with other blanks. */
export function isMangled(name: string, written: string): boolean {
  const a = fold(name);
  const b = fold(written);
  if (a === b || isNumber(name)) return true;
  const stem = a.replace(/\d+$/, '');
  return stem.length >= 4 && b.startsWith(stem) && a.length <= b.length;
}

/** True when `name` is `written` with a number after it, as units make names unique. */
export const isCounted = (name: string, written: string): boolean =>
  fold(name).replace(/\d+$/, '') === fold(written);

/** True for a name that a unit made by numbering its waypoints. */
export const isNumber = (name: string): boolean => /^(wpt|wp|waypoint|mark)?[ _-]?\d+$/i.test(name);

/** Returns the letters and digits of a name, in capitals without diacritics. */
export const fold = (name: string): string =>
  name
    .normalize('NFD')
    .toUpperCase()
    .replace(/[^\p{L}\p{N}]/gu, '');
