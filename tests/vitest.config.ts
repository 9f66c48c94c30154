import { availableParallelism } from 'node:os';
import { defineConfig } from 'vitest/config';
import { skippedTests } from './skipped-tests.ts';

export default defineConfig({
  test: {
    include: ['tests/**/*.test.ts'],
    root: new URL('..', import.meta.url).pathname,
    // The time limit only ends tests that hang: a busy machine may be ten times slower than an idle one.
    testTimeout: 300_000,
    hookTimeout: 300_000,
    // The default is one less than the number of cores, which would be half of a two-core machine.
    maxWorkers: availableParallelism(),
    // Test files share loaded modules, because modules hold no state and loading them would take as long as
    // the tests.
    isolate: false,
    reporters: ['default', skippedTests],
    coverage: { include: ['src/**', 'plugins/**', 'shared/**'] },
  },
});
