/**
 * Finds the known names most like an unknown name, best first: names that differ only in case, blanks or
 * punctuation, then partial matches, then likely typing errors.
 */
export function nearNames(wanted: string, names: Iterable<string>, most = 3): string[] {
  const key = plainName(wanted);
  const scored = [...new Set(names)].map((name) => {
    const plain = plainName(name);
    const isPart = key !== '' && (plain.includes(key) || key.includes(plain));
    return {
      name,
      length: Math.max(plain.length, key.length),
      cost: isPart ? 0.5 + Math.abs(plain.length - key.length) / 100 : editDistance(key, plain),
    };
  });
  return scored
    .filter(({ cost, length }) => cost <= Math.max(2, key.length / 2) && cost < length)
    .sort((a, b) => a.cost - b.cost || (a.name < b.name ? -1 : 1))
    .slice(0, most)
    .map(({ name }) => name);
}

/** Reduces a name to what people reliably type: `Ledge 8`, `LEDGE8` and `ledge-8` become the same. */
export const plainName = (name: string): string => name.toLowerCase().replace(/[\s_.,;:#'"-]+/g, '');

/** Counts letters inserted, left out, changed or swapped (optimal string alignment distance). */
function editDistance(a: string, b: string): number {
  const rows = [Array.from({ length: b.length + 1 }, (_, at) => at)];
  for (let i = 1; i <= a.length; i++) {
    rows[i] = [i];
    for (let j = 1; j <= b.length; j++) {
      const same = a[i - 1] === b[j - 1] ? 0 : 1;
      rows[i][j] = Math.min(rows[i - 1][j] + 1, rows[i][j - 1] + 1, rows[i - 1][j - 1] + same);
      if (i > 1 && j > 1 && a[i - 1] === b[j - 2] && a[i - 2] === b[j - 1])
        rows[i][j] = Math.min(rows[i][j], rows[i - 2][j - 2] + 1);
    }
  }
  return rows[a.length][b.length];
}
