import { expect, test } from 'vitest';
import { Problem, type ProblemName, problemDocument, problems } from '../../server/errors.ts';

// Clients rely on the list: a new problem is added here as well, on purpose.
test('the catalogue is closed', () => {
  expect(Object.entries(problems).map(([name, { status }]) => `${status} ${name}`)).toEqual([
    '400 invalid-input',
    '400 invalid-json',
    '401 unauthenticated',
    '403 forbidden',
    '404 not-found',
    '405 method-not-allowed',
    '409 double-use',
    '409 refused',
    '409 wrong-state',
    '409 already-exists',
    '409 in-use',
    '409 request-running',
    '412 stale-version',
    '413 body-too-large',
    '414 path-too-long',
    '415 unsupported-media-type',
    '422 key-reused',
    '422 faulty-document',
    '428 version-required',
    '429 too-many-requests',
    '431 header-too-large',
    '500 internal',
    '503 busy',
    '503 unavailable',
  ]);
});

test('a document has the members of RFC 9457 and those of its own, and no headers', () => {
  const errors = [{ in: 'body', pointer: '/beamM', message: 'Too wide.' }] as const;
  const problem = new Problem('invalid-input', 'The boat is too wide.', { errors, headers: { 'x-a': 'b' } });
  expect(problemDocument(problem, 'request-1')).toEqual({
    type: '/problems/invalid-input',
    title: problems['invalid-input'].title,
    status: 400,
    detail: 'The boat is too wide.',
    requestId: 'request-1',
    errors,
  });
});

test('every problem says what to do', () => {
  for (const name of Object.keys(problems) as ProblemName[]) {
    expect(problems[name].advice.length, name).toBeGreaterThan(10);
    expect(name).toMatch(/^[a-z-]+$/);
  }
});
