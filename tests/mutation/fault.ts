/** What a fault would cost: each kind is counted by itself, and none of the first two may survive. */
export const GROUPS = ['safety', 'accounting', 'model', 'formats', 'words'] as const;
export type Group = (typeof GROUPS)[number];

/** Groups that tests must hold completely. */
export const HELD: readonly Group[] = ['safety', 'accounting'];

/** One change that breaks the program. */
export interface Fault {
  /** What would be wrong, in a few words. */
  readonly name: string;
  /** Source file, from the root. */
  readonly file: string;
  /** Text that the file contains exactly once, and what it becomes. */
  readonly find: string;
  readonly replace: string;
  /** Test files that should notice, without `tests/` and `.test.ts`. */
  readonly tests: readonly string[];
}
