import type { Diagnostic, Report, RowAccount } from '../../../shared/contract/index.ts';

export type Tally = ReturnType<typeof createTally>;

/**
 * Collects messages about the rows of one log. Each code is reported once, for its first row, with its count.
 *
 * @param explain True to report each dropped row too.
 */
export function createTally(report: Report, explain: boolean) {
  const first = new Map<string, Diagnostic>();
  const counts = new Map<string, number>();
  const drops = new Map<string, number>();
  const add = (map: Map<string, number>, key: string, by = 1) => map.set(key, (map.get(key) ?? 0) + by);
  const remember = (diagnostic: Diagnostic) => {
    if (!first.has(diagnostic.code)) first.set(diagnostic.code, diagnostic);
    add(counts, diagnostic.code);
  };
  const tally = {
    /** Number of data rows read so far, used or not. */
    read: 0,
    /** Counts a row that is left out; the code of its diagnostic is the reason. */
    drop(diagnostic: Diagnostic): void {
      remember(diagnostic);
      add(drops, diagnostic.code);
      if (explain) report({ ...diagnostic, severity: 'note' });
    },
    /** Counts dropped rows that are reported elsewhere. */
    dropMore(code: string, rows: number): void {
      add(counts, code, rows);
      add(drops, code, rows);
    },
    /** Counts a problem of the log, or of a row that is still used. */
    flag: (diagnostic: Diagnostic): void => remember(diagnostic),
    /** Counts a problem of the log once, no matter how often it occurs. */
    flagOnce(diagnostic: Diagnostic): void {
      if (!counts.has(diagnostic.code)) remember(diagnostic);
    },
    /** Reports each code with its count, in order of first occurrence; returns the first message of each. */
    flush(): ReadonlyMap<string, Diagnostic> {
      for (const [code, diagnostic] of first) {
        const count = counts.get(code) ?? 1;
        report(count > 1 ? { ...diagnostic, count } : diagnostic);
      }
      const reported = new Map(first);
      first.clear();
      return reported;
    },
    /**
     * Returns the account of the log.
     *
     * @param used Number of rows returned, as counted by the caller.
     * @throws Error when rows are unaccounted for: a defect of the reader.
     */
    account(used: number): RowAccount {
      const dropped = Object.fromEntries([...drops].sort(([a], [b]) => (a < b ? -1 : 1)));
      const lost = Object.values(dropped).reduce((sum, n) => sum + n, 0);
      if (tally.read !== used + lost)
        throw new Error(`rows unaccounted for: ${tally.read} read, ${used} used, ${lost} dropped`);
      return { read: tally.read, used, dropped };
    },
  };
  return tally;
}
