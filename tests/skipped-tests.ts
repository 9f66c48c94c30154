import type { Reporter, TestModule } from 'vitest/node';

/** Why a test may be skipped: what it needs is no part of the project, and its title says so. */
const EXCUSED = /browser|licence/i;

/**
 * Names every skipped test whose title gives no such reason.
 *
 * Under `NO_SKIPPED_TESTS=1`, as in `.ci/run`, one of them fails the run: a test that nobody runs holds nothing.
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
