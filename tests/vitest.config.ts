import { defineConfig } from 'vitest/config';
import { skippedTests } from './skipped-tests.ts';

export default defineConfig({
  test: {
    include: ['tests/**/*.test.ts'],
    root: new URL('..', import.meta.url).pathname,
    testTimeout: 60_000,
    reporters: ['default', skippedTests],
    coverage: { include: ['src/**', 'plugins/**', 'shared/**'] },
  },
});
