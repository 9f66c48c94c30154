/**
 * True when a chartplotter may have made `name` from `written`: respelled it, cut it and perhaps added a
 * number, or replaced it with a number.
 */
export function isMangled(name: string, written: string): boolean {
  const a = fold(name);
  const b = fold(written);
  if (a === b || isNumber(name)) return true;
  const stem = a.replace(/\d+$/, '');
  return stem.length >= 4 && b.startsWith(stem) && a.length <= b.length;
}

/** True when `name` is `written`, perhaps with a number that a chartplotter added to make it unique. */
export const isCounted = (name: string, written: string): boolean =>
  fold(name).replace(/\d+$/, '') === fold(written);

/** True for a name that a chartplotter gives to a numbered waypoint, such as `WPT 12` or `12`. */
export const isNumber = (name: string): boolean => /^(wpt|wp|waypoint|mark)?[ _-]?\d+$/i.test(name);

/** Returns a name with letters and digits only, in capitals without diacritics. */
export const fold = (name: string): string =>
  name
    .normalize('NFD')
    .toUpperCase()
    .replace(/[^\p{L}\p{N}]/gu, '');
