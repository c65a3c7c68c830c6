import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import { z } from 'zod';
import { packageVersion } from '../../../server/app.ts';
import { openApiDocument } from '../../../server/http/openapi.ts';
import { defineRoute } from '../../../server/http/route.ts';
import { projectRoot } from '../../../server/project-root.ts';
import { apiRoutes } from '../../../server/routes.ts';

const document = openApiDocument(apiRoutes, packageVersion());

test('the committed description is that of the routes', () => {
  const committed: unknown = JSON.parse(readFileSync(join(projectRoot, 'server/openapi.json'), 'utf8'));
  expect(committed, 'run "npm run openapi"').toEqual(JSON.parse(JSON.stringify(document)));
});

test('every operation has a name of its own, a summary and its problems', () => {
  const names = apiRoutes.map((route) => route.operationId);
  expect(new Set(names).size).toBe(names.length);
  for (const route of apiRoutes) {
    expect(route.summary, route.operationId).toMatch(/^[A-Z].{3,}[^.]$/);
    expect(route.operationId).toMatch(/^[a-z][A-Za-z]+$/);
  }
  for (const operations of Object.values(document.paths as Record<string, Record<string, { responses: object }>>)) {
    for (const operation of Object.values(operations)) expect(operation.responses).toHaveProperty('500');
  }
});

test('every name in a path is a parameter', () => {
  for (const route of apiRoutes) {
    const inPath = [...route.url.matchAll(/:(\w+)/g)].map((match) => match[1]);
    const declared = route.params instanceof z.ZodObject ? Object.keys(route.params.shape) : [];
    expect(declared.sort(), route.url).toEqual(inPath.sort());
  }
});

test('every reference leads to a schema', () => {
  const { schemas } = document.components as { schemas: Record<string, unknown> };
  const references = JSON.stringify(document).matchAll(/"\$ref":"#\/components\/schemas\/([^"]+)"/g);
  for (const [, name] of references) expect(Object.keys(schemas)).toContain(name);
  expect(JSON.stringify(document)).not.toContain('#/$defs');
});

test('every example is a valid body', () => {
  for (const route of apiRoutes) {
    if (route.example !== undefined)
      expect(route.body?.safeParse(route.example).error, route.operationId).toBe(undefined);
  }
});

describe('a named schema', () => {
  const inner = z.strictObject({ lengthM: z.number().default(1) }).meta({ id: 'OpenApiTestInner' });
  const route = defineRoute({
    method: 'PUT',
    url: '/v1/thing',
    operationId: 'putThing',
    summary: 'Put a thing',
    tag: 'Things',
    roles: ['manager'],
    body: z.strictObject({ inner }),
    ifMatch: true,
    idempotent: true,
    response: { 200: z.strictObject({ inner }) },
  }).handle(async ({ body }) => ({ status: 200, body }));
  const { components, paths } = JSON.parse(JSON.stringify(openApiDocument([route], '1')));

  test('is described once for each form it has', () => {
    const names = Object.keys(components.schemas).filter((name) => name.startsWith('OpenApiTest'));
    expect(names).toEqual(['OpenApiTestInner', 'OpenApiTestInnerInput']);
    // What has a default may be left out by the sender, and is always there in the answer.
    expect([
      components.schemas.OpenApiTestInner.required,
      components.schemas.OpenApiTestInnerInput.required,
    ]).toContainEqual(['lengthM']);
  });

  test('flags become headers and problems', () => {
    const { put } = paths['/v1/thing'];
    expect(put.parameters.map(({ name }: { name: string }) => name)).toEqual(['If-Match', 'Idempotency-Key']);
    expect(Object.keys(put.responses)).toEqual(expect.arrayContaining(['409', '412', '422', '428']));
  });
});
