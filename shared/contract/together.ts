import type { Diagnostic } from './diagnostic.ts';

/**
 * Diagnostics with the same sentence put together, in the order in which each was first said.
 *
 * A note of several files stands for all of them; anything else keeps its first place and says how far it reaches.
 */
export function togetherBySentence(diagnostics: readonly Diagnostic[]): Diagnostic[] {
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
  // A note without a count is about its file, however often it is said.
  const isCounted = first.severity !== 'note' || said.some(({ count }) => count !== undefined);
  const rows = isCounted ? said.reduce((sum, { count = 1 }) => sum + count, 0) : 0;
  const extent = [
    ...(rows > 1 ? [`${rows} ${isOfLogs ? 'rows' : 'places'}`] : []),
    ...(files > 1 ? [`in ${files} ${noun}`] : []),
  ].join(' ');
  return extent === '' ? first : { ...first, message: `${first.message} (${extent})` };
}

/**
 * What the parts of one log say, as of the whole: of those with a rank the one of lowest rank speaks for the rows of all, in
 * the place among the others where the first was said.
 */
export function togetherByRank(diagnostics: readonly Diagnostic[]): Diagnostic[] {
  const told = new Map<string, number>();
  const out: Diagnostic[] = [];
  for (const diagnostic of diagnostics) {
    const at = diagnostic.rank === undefined ? undefined : told.get(diagnostic.code);
    if (at === undefined) {
      if (diagnostic.rank !== undefined) told.set(diagnostic.code, out.length);
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
