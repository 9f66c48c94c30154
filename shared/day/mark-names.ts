import { plainName } from '../text/index.ts';

/**
 * Finds a mark from typed text: by exact name, else by the only name that is equal apart from case, blanks and dashes.
 */
export function markNames(names: Iterable<string>): (text: string) => string | undefined {
  const exact = new Set(names);
  const plain = new Map<string, string[]>();
  for (const name of exact) {
    const key = plainName(name);
    plain.set(key, [...(plain.get(key) ?? []), name]);
  }
  return (text) => {
    const name = text.trim();
    if (exact.has(name)) return name;
    const same = plain.get(plainName(name)) ?? [];
    return same.length === 1 ? same[0] : undefined;
  };
}
