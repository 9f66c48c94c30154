import type { Diagnostic, RowAccount } from '../../../shared/contract/index.ts';

/** Counts what is said about the rows of one log: each code is reported once, at its first row, with its count. */
export interface Tally {
  /** Rows read so far: every data row, used or not. */
  read: number;
  /** A row taken out; its diagnostic's code is the reason. */
  drop(diagnostic: Diagnostic): void;
  /** Rows taken out for a reason already said. */
  dropMore(code: string, rows: number): void;
  /** Reports a doubt about a row that is used. */
  doubt(diagnostic: Diagnostic): void;
  /** Reports a doubt about the log, counted once however often it occurs. */
  doubtOnce(diagnostic: Diagnostic): void;
  dropped(): Readonly<Record<string, number>>;
  /** Reports everything counted, in order of first occurrence. */
  flush(): void;
  /**
   * Account of the log.
   *
   * @param used Rows handed out, counted where they were.
   * @throws Error when rows are unaccounted for: a defect of the reader.
   */
  account(used: number): RowAccount;
}

/** @param explain Report every dropped row by itself as well. */
export function createTally(report: (diagnostic: Diagnostic) => void, explain: boolean): Tally {
  const first = new Map<string, Diagnostic>();
  const counts = new Map<string, number>();
  const drops = new Map<string, number>();
  const add = (map: Map<string, number>, key: string, by = 1) => map.set(key, (map.get(key) ?? 0) + by);
  const remember = (diagnostic: Diagnostic) => {
    if (!first.has(diagnostic.code)) first.set(diagnostic.code, diagnostic);
    add(counts, diagnostic.code);
  };
  const droppedRows = () => Object.fromEntries([...drops].sort(([a], [b]) => (a < b ? -1 : 1)));
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
    doubt: (diagnostic) => remember(diagnostic),
    doubtOnce(diagnostic) {
      if (!counts.has(diagnostic.code)) remember(diagnostic);
    },
    dropped: droppedRows,
    flush() {
      for (const [code, diagnostic] of first) {
        const count = counts.get(code) ?? 1;
        report(count > 1 ? { ...diagnostic, count } : diagnostic);
      }
      first.clear();
    },
    account(used) {
      const dropped = droppedRows();
      const lost = Object.values(dropped).reduce((sum, n) => sum + n, 0);
      if (tally.read !== used + lost)
        throw new Error(`rows unaccounted for: ${tally.read} read, ${used} used, ${lost} dropped`);
      return { read: tally.read, used, dropped };
    },
  };
  return tally;
}
