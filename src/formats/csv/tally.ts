import type { Diagnostic, Report, RowAccount } from '../../../shared/contract/index.ts';

/** Collects messages about the rows of one log. Each code is reported once, at its first row, with its count. */
export interface Tally {
  /** Rows read so far: every data row, used or not. */
  read: number;
  /** Counts a row that is left out; the code of its diagnostic is the reason. */
  drop(diagnostic: Diagnostic): void;
  /** Counts more rows left out for a reason already given. */
  dropMore(code: string, rows: number): void;
  /** Reports a problem of a row that is still used. */
  flag(diagnostic: Diagnostic): void;
  /** Reports a problem of the log, counted once no matter how often it occurs. */
  flagOnce(diagnostic: Diagnostic): void;
  /** Reports everything counted, in order of first occurrence. */
  flush(): void;
  /**
   * Account of the log.
   *
   * @param used Rows returned, as counted by the caller.
   * @throws Error when rows are unaccounted for: a defect of the reader.
   */
  account(used: number): RowAccount;
}

/** @param explain Also report each dropped row individually. */
export function createTally(report: Report, explain: boolean): Tally {
  const first = new Map<string, Diagnostic>();
  const counts = new Map<string, number>();
  const drops = new Map<string, number>();
  const add = (map: Map<string, number>, key: string, by = 1) => map.set(key, (map.get(key) ?? 0) + by);
  const remember = (diagnostic: Diagnostic) => {
    if (!first.has(diagnostic.code)) first.set(diagnostic.code, diagnostic);
    add(counts, diagnostic.code);
  };
  const tally: Tally = {
    read: 0,
    drop(diagnostic) {
      remember(diagnostic);
      add(drops, diagnostic.code);
      if (explain) report({ ...diagnostic, severity: 'note' });
    },
    dropMore(code, rows) {
      add(counts, code, rows);
      add(drops, code, rows);
    },
    flag: (diagnostic) => remember(diagnostic),
    flagOnce(diagnostic) {
      if (!counts.has(diagnostic.code)) remember(diagnostic);
    },
    flush() {
      for (const [code, diagnostic] of first) {
        const count = counts.get(code) ?? 1;
        report(count > 1 ? { ...diagnostic, count } : diagnostic);
      }
      first.clear();
    },
    account(used) {
      const dropped = Object.fromEntries([...drops].sort(([a], [b]) => (a < b ? -1 : 1)));
      const lost = Object.values(dropped).reduce((sum, n) => sum + n, 0);
      if (tally.read !== used + lost)
        throw new Error(`rows unaccounted for: ${tally.read} read, ${used} used, ${lost} dropped`);
      return { read: tally.read, used, dropped };
    },
  };
  return tally;
}
