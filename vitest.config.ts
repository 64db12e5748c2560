import { defineConfig } from 'vitest/config';

const everywhere = {
  // What a loaded machine needs; no test passes or fails by its speed.
  testTimeout: 60_000,
  hookTimeout: 120_000,
};

export default defineConfig({
  oxc: { jsx: { runtime: 'automatic', importSource: 'preact' } },
  test: {
    projects: [
      {
        extends: true,
        test: {
          ...everywhere,
          name: 'node',
          environment: 'node',
          include: ['tests/**/*.test.ts'],
          exclude: ['tests/web/**', 'tests/**/*.browser.test.ts'],
          sequence: { groupOrder: 0 },
        },
      },
      {
        extends: true,
        test: {
          ...everywhere,
          name: 'page',
          environment: 'happy-dom',
          include: ['tests/web/**/*.test.{ts,tsx}'],
          exclude: ['tests/**/*.browser.test.ts'],
          sequence: { groupOrder: 0 },
        },
      },
      {
        extends: true,
        test: {
          ...everywhere,
          name: 'browser',
          environment: 'node',
          include: ['tests/**/*.browser.test.ts'],
          fileParallelism: false,
          // A browser beside all other tests would only wait for the processor.
          sequence: { groupOrder: 1 },
        },
      },
    ],
  },
});
