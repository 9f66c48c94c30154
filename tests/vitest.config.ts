import { availableParallelism } from 'node:os';
import { defineConfig } from 'vitest/config';
import { skippedTests } from './skipped-tests.ts';

export default defineConfig({
  test: {
    include: ['tests/**/*.test.ts'],
    root: new URL('..', import.meta.url).pathname,
    // Only to end a test that hangs: a busy machine may be ten times slower than an idle one.
    testTimeout: 300_000,
    hookTimeout: 300_000,
    // The default is one less than the number of cores, which would be half of a two-core machine.
    maxWorkers: availableParallelism(),
    // Test files share loaded modules: modules hold no state, and loading them took as long as the tests.
    isolate: false,
    reporters: ['default', skippedTests],
    coverage: { include: ['src/**', 'plugins/**', 'shared/**'] },
  },
});
