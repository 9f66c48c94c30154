/** Fault groups by what the fault would cost. Each is counted separately, and in the first two none may survive. */
export const GROUPS = ['safety', 'accounting', 'model', 'formats', 'words'] as const;
export type Group = (typeof GROUPS)[number];

/** Groups in which tests must catch every fault. */
export const HELD: readonly Group[] = ['safety', 'accounting'];

/** One change that breaks the program. */
export interface Fault {
  /** What would be wrong, in a few words. */
  readonly name: string;
  /** Source file, from the root. */
  readonly file: string;
  /** Text that occurs exactly once in the file, and its replacement. */
  readonly find: string;
  readonly replace: string;
  /** Test files that should catch the fault, without `tests/` and `.test.ts`. */
  readonly tests: readonly string[];
}
