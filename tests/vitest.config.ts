import { defineConfig } from 'vitest/config';

export default defineConfig({
  test: {
    include: ['tests/**/*.test.ts'],
    root: new URL('..', import.meta.url).pathname,
    testTimeout: 60_000,
    coverage: { include: ['src/**', 'plugins/**', 'shared/**'] },
  },
});
