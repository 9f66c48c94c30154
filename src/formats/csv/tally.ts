import type { Diagnostic } from '../../../shared/contract/diagnostic.ts';
import type { RowAccount } from '../../../shared/contract/soundings.ts';

/** Counts what is said about the rows of one log: each code is reported once, at its first row, with its count. */
export interface Tally {
  /** Rows read so far: every data row, used or not. */
  read: number;
  /** A row taken out; its diagnostic's code is the reason. */
  drop(diagnostic: Diagnostic): void;
  /** Rows taken out for a reason already said. */
  dropMore(code: string, rows: number): void;
  /** Something about a row that is used. */
  doubt(diagnostic: Diagnostic): void;
  /** Something about the log that is counted once however often it is met. */
  doubtOnce(diagnostic: Diagnostic): void;
  dropped(): Readonly<Record<string, number>>;
  /** Reports everything counted, in the order it was first met. */
  flush(): void;
  /**
   * Account of the log.
   *
   * @param used Rows handed out, counted where they were.
   * @throws Error when rows are unaccounted for: a defect of the reader.
   */
  account(used: number): RowAccount;
  /** Everything counted so far as plain data, for `absorb` in another thread. */
  taken(): TallyData;
  /** Adds what was counted on a stretch of the log, whose line 1 is line `before` + 1 of the log. */
  absorb(data: TallyData, before: number): void;
}

/** A tally as plain data. */
export interface TallyData {
  readonly read: number;
  /** First of each code, in the order met, and how often; `isOnce` where it counts once for the whole log. */
  readonly first: readonly {
    readonly diagnostic: Diagnostic;
    readonly count: number;
    readonly isOnce: boolean;
  }[];
  readonly drops: readonly (readonly [code: string, rows: number])[];
}

/** A diagnostic on a stretch of a log with its line counted from the start of the log. */
export function linesLater(diagnostic: Diagnostic, before: number): Diagnostic {
  const { place } = diagnostic;
  return place?.line === undefined
    ? diagnostic
    : { ...diagnostic, place: { ...place, line: place.line + before } };
}

/** @param explain Report every dropped row by itself as well. */
export function createTally(report: (diagnostic: Diagnostic) => void, explain: boolean): Tally {
  const first = new Map<string, Diagnostic>();
  const counts = new Map<string, number>();
  const drops = new Map<string, number>();
  const once = new Set<string>();
  const add = (map: Map<string, number>, key: string, by = 1) => map.set(key, (map.get(key) ?? 0) + by);
  const remember = (diagnostic: Diagnostic, count = 1) => {
    if (!first.has(diagnostic.code)) first.set(diagnostic.code, diagnostic);
    add(counts, diagnostic.code, count);
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
      once.add(diagnostic.code);
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
    taken: () => ({
      read: tally.read,
      first: [...first.values()].map((diagnostic) => ({
        diagnostic,
        count: counts.get(diagnostic.code) ?? 1,
        isOnce: once.has(diagnostic.code),
      })),
      drops: [...drops],
    }),
    absorb(data, before) {
      tally.read += data.read;
      for (const { diagnostic, count, isOnce } of data.first) {
        const moved = linesLater(diagnostic, before);
        if (isOnce) tally.doubtOnce(moved);
        else remember(moved, count);
      }
      for (const [code, rows] of data.drops) add(drops, code, rows);
    },
  };
  return tally;
}
