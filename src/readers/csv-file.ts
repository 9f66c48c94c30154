import type { CsvFile } from '../../shared/contract/options.ts';

/** What a person's small CSV file must and may hold. */
export interface CsvFileExpectation {
  /** What the file is, for messages: "lure box". */
  readonly what: string;
  /** Columns that must be there, lower-case. */
  readonly required: readonly string[];
  /** Columns that may be there; others are listed in a note. */
  readonly optional?: readonly string[];
}

/**
 * A small CSV file of the person's: lure box, level readings, marks.
 *
 * @throws Refusal, naming file, line, what was found and what to do.
 */
export async function readCsvFile(file: string, expectation?: CsvFileExpectation): Promise<CsvFile> {
  void expectation;
  throw new Error(`being written: ${file}`);
}
