import { availableParallelism } from 'node:os';
import { defineConfig } from 'vitest/config';
import { skippedTests } from './skipped-tests.ts';

export default defineConfig({
  test: {
    include: ['tests/**/*.test.ts'],
    root: new URL('..', import.meta.url).pathname,
    // To end what hangs, not to judge speed: a busy machine takes ten times as long as a quiet one.
    testTimeout: 300_000,
    hookTimeout: 300_000,
    // One less than the cores is the default: half of a machine of two.
    maxWorkers: availableParallelism(),
    // Files share the modules that a worker has loaded: no module holds state, and loading them cost as much as the tests.
    isolate: false,
    reporters: ['default', skippedTests],
    coverage: { include: ['src/**', 'plugins/**', 'shared/**'] },
  },
});
