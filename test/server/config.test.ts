import { resolve } from 'node:path';
import { describe, expect, test } from 'vitest';
import { readConfig } from '../../server/config.ts';
import { OperatorError } from '../../server/operator-error.ts';

test('without any setting the service is embedded, local and limited', () => {
  expect(readConfig({})).toEqual({
    databaseUrl: null,
    databasePoolSize: 10,
    dataDir: resolve('data'),
    host: '127.0.0.1',
    port: 8080,
    logLevel: 'info',
    rateLimitPerMinute: 1200,
    trustProxy: false,
    shutdownGraceS: 30,
  });
});

test('settings are read', () => {
  const config = readConfig({ DATABASE_URL: 'postgresql://a:b@db/quay', PORT: '0', TRUST_PROXY: 'true' });
  expect(config).toMatchObject({ databaseUrl: 'postgresql://a:b@db/quay', port: 0, trustProxy: true });
});

describe('a wrong setting is one line: the variable, what is wrong, the fix', () => {
  test.each([
    ['PORT', 'eighty', 'PORT: "eighty" is not usable. Write a whole number from 0 (any free port) to 65535.'],
    ['PORT', '65536', 'PORT: "65536" is not usable. Write a whole number from 0 (any free port) to 65535.'],
    ['PORT', '-1', 'PORT: "-1" is not usable. Write a whole number from 0 (any free port) to 65535.'],
    ['LOG_LEVEL', 'loud', /^LOG_LEVEL: "loud" is not usable\. Write one of fatal, /],
    ['TRUST_PROXY', 'yes', 'TRUST_PROXY: "yes" is not usable. Write true or false.'],
    ['DATABASE_POOL_SIZE', '0', /^DATABASE_POOL_SIZE: "0" is not usable\./],
    ['SHUTDOWN_GRACE_SECONDS', '1e3', /^SHUTDOWN_GRACE_SECONDS: "1e3"/],
    ['HOST', 'a b', /^HOST: "a b" is not usable\./],
    ['DATA_DIR', '', 'DATA_DIR is empty. Write the path of a folder.'],
    // An empty address must not quietly mean the embedded database.
    ['DATABASE_URL', '', /^DATABASE_URL is empty\./],
    ['DATABASE_URL', 'mysql://db/quay', /^DATABASE_URL: its value is not usable\./],
    ['DATABASE_URL', 'postgresql://db', /^DATABASE_URL: its value is not usable\./],
    ['DATABASE_URL', 'db/quay', /^DATABASE_URL: its value is not usable\./],
  ])('%s=%s', (name, value, message) => {
    const read = () => readConfig({ [name]: value });
    expect(read).toThrow(OperatorError);
    expect(read).toThrow(message);
  });

  test('a password is not shown', () => {
    expect(() => readConfig({ DATABASE_URL: 'mysql://a:secret@db/quay' })).not.toThrow(/secret/);
  });
});
