import type { Reporter, TestModule } from 'vitest/node';

/** Words in the title of a test that may be skipped: what the test needs from outside the project. */
const EXCUSED = /browser|license/i;

/**
 * Reports every skipped test without such a word in its title.
 *
 * With `NO_SKIPPED_TESTS=1`, as in `.ci/run`, such a test fails the run, because a skipped test protects
 * nothing.
 */
export const skippedTests: Reporter = {
  onTestRunEnd(modules: readonly TestModule[]) {
    const skipped = modules.flatMap((module) =>
      [...module.children.allTests('skipped')]
        .filter(({ fullName }) => !EXCUSED.test(fullName))
        .map(({ fullName }) => `${module.relativeModuleId}: ${fullName}`),
    );
    if (skipped.length === 0) return;
    console.error(`Skipped without a reason in the title:\n${skipped.map((name) => `  ${name}`).join('\n')}`);
    if (process.env.NO_SKIPPED_TESTS === '1') process.exitCode = 1;
  },
};
