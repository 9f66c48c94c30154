/** Groups of faults by what a fault would break; each group is counted separately. */
export const GROUPS = ['safety', 'accounting', 'model', 'formats', 'words'] as const;
export type Group = (typeof GROUPS)[number];

/** Groups in which tests must catch every fault. */
export const HELD: readonly Group[] = ['safety', 'accounting'];

/** One change that breaks the program. */
export interface Fault {
  /** Short description of what goes wrong. */
  readonly name: string;
  /** Source file, from the root. */
  readonly file: string;
  /** Text that occurs exactly once in the file. */
  readonly find: string;
  /** Replacement of `find`. */
  readonly replace: string;
  /** Test files that should catch the fault, as paths without `tests/` and `.test.ts`. */
  readonly tests: readonly string[];
}
