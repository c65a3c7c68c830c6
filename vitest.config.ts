import { defineConfig } from 'vitest/config';

export default defineConfig({
  test: {
    setupFiles: ['test/support/property-seed.ts'],
    testTimeout: 240_000,
    hookTimeout: 240_000,
    // One more than usual: a file often waits for its database (the API suite took 344 s instead of 461 s on two cores).
    maxWorkers: '100%',
    projects: [
      { extends: true, test: { name: 'core', include: ['test/core/**/*.test.ts', 'test/checks/**/*.test.ts'] } },
      {
        extends: true,
        test: {
          name: 'server',
          include: ['test/server/**/*.test.ts', 'test/seed-demo/**/*.test.ts'],
          globalSetup: 'test/support/drop-databases.ts',
        },
      },
      // Stories in a real browser: one file after the other, for the same reason as below.
      {
        extends: true,
        test: {
          name: 'browser',
          include: ['test/browser/**/*.test.ts'],
          globalSetup: 'test/support/drop-databases.ts',
          fileParallelism: false,
          testTimeout: 600_000,
        },
      },
      // Real processes, raced and killed: one after the other, or they starve each other of the machine.
      {
        extends: true,
        test: {
          name: 'processes',
          include: ['test/processes/**/*.test.ts'],
          globalSetup: ['test/support/build-service.ts', 'test/support/drop-databases.ts'],
          fileParallelism: false,
          testTimeout: 600_000,
          hookTimeout: 120_000,
        },
      },
    ],
  },
});
