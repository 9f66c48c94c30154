import type { Diagnostic } from './diagnostic.ts';

/**
 * Merges diagnostics with the same severity, code and text, in order of first occurrence.
 *
 * A note from several files loses its place and begins with the number of files. Any other diagnostic keeps
 * its first place, and the numbers of rows (or places) and files, if above 1, are added to its text.
 */
export function mergeBySentence(diagnostics: readonly Diagnostic[]): Diagnostic[] {
  const groups = new Map<string, Diagnostic[]>();
  for (const diagnostic of diagnostics) {
    const { severity, code, message } = diagnostic;
    const key = [severity, code, message].join('\n');
    const known = groups.get(key);
    if (known === undefined) groups.set(key, [diagnostic]);
    else known.push(diagnostic);
  }
  return [...groups.values()].map(asOne);
}

function asOne(said: readonly Diagnostic[]): Diagnostic {
  const [first] = said;
  const files = new Set(said.map(({ place }) => place?.file)).size;
  const isOfLogs = first.code.startsWith('soundings/');
  const noun = isOfLogs ? 'logs' : 'files';
  if (first.severity === 'note' && files > 1)
    return { ...first, place: undefined, message: `${files} ${noun}: ${first.message}` };
  // A note without a count is about a whole file, so repeats are not added up.
  const isCounted = first.severity !== 'note' || said.some(({ count }) => count !== undefined);
  const rows = isCounted ? said.reduce((sum, { count = 1 }) => sum + count, 0) : 0;
  const extent = [
    ...(rows > 1 ? [`${rows} ${isOfLogs ? 'rows' : 'places'}`] : []),
    ...(files > 1 ? [`in ${files} ${noun}`] : []),
  ].join(' ');
  return extent === '' ? first : { ...first, message: `${first.message} (${extent})` };
}

/**
 * Merges the diagnostics of the parts of one log. Of ranked diagnostics with equal codes, only the one with
 * the lowest rank is kept, with all counts added up, at the position of the first.
 */
export function mergeByRank(diagnostics: readonly Diagnostic[]): Diagnostic[] {
  const reported = new Map<string, number>();
  const out: Diagnostic[] = [];
  for (const diagnostic of diagnostics) {
    const at = diagnostic.rank === undefined ? undefined : reported.get(diagnostic.code);
    if (at === undefined) {
      if (diagnostic.rank !== undefined) reported.set(diagnostic.code, out.length);
      out.push(diagnostic);
      continue;
    }
    const before = out[at];
    const isLower = (diagnostic.rank ?? 0) < (before.rank ?? 0);
    const counts = [before.count, diagnostic.count].filter((count) => count !== undefined);
    out[at] = {
      ...(isLower ? diagnostic : before),
      ...(counts.length === 0 ? {} : { count: counts.reduce((sum, count) => sum + count, 0) }),
    };
  }
  return out;
}
