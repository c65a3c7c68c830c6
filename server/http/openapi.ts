import { z } from 'zod';
import { type ProblemName, problems } from '../errors.ts';
import { inputSchema, isSchema, type JsonSchema, mapSchema, outputSchema } from './json-schema.ts';
import { noContent, type RouteDefinition, textOrStream } from './route.ts';

/** An OpenAPI 3.1 document. */
export type OpenApiDocument = JsonSchema & { readonly openapi: string };

/**
 * Describes routes as OpenAPI 3.1, from the schemas that validate and serialise. A schema with `.meta({ id: 'Stay' })`
 * is described once, under that name; where what is sent and what is answered differ, the former is `StayInput`.
 */
export function openApiDocument(routes: readonly RouteDefinition[], version: string): OpenApiDocument {
  const components = new Components();
  const paths: Record<string, Record<string, unknown>> = {};
  const tags = new Set<string>();
  // Answers first: where forms differ, they keep the plain name.
  for (const route of routes) answersOf(route, components);
  for (const route of routes) {
    tags.add(route.tag);
    const path = route.url.replaceAll(/:(\w+)/g, '{$1}');
    const operations = paths[path] ?? {};
    operations[route.method.toLowerCase()] = describeOperation(route, components);
    paths[path] = operations;
  }
  return {
    openapi: '3.1.0',
    info: { title: 'Quaywatt', version, description },
    tags: [...tags].sort().map((name) => ({ name })),
    paths,
    components: {
      securitySchemes: { token: { type: 'http', scheme: 'bearer', description: 'A token of one marina: qw_...' } },
      schemas: components.schemas(),
    },
  };
}

const description = [
  'Berths, shore power and feeder demand for a marina.',
  'SI units, named at the end of every quantity; times are RFC 3339 with offset. Errors are problem documents (RFC 9457).',
  'Figures support a decision by a person; they replace no electrician, no inspection and no authority having',
  'jurisdiction. Local codes and their adopted edition prevail. The service advises; it never switches power.',
].join(' ');

function describeOperation(route: RouteDefinition, components: Components): JsonSchema {
  const access = route.roles === 'public' ? 'No token needed.' : `Roles: ${route.roles.join(', ')}.`;
  const body = route.body && components.use(inputSchema(route.body), 'Input');
  return {
    operationId: route.operationId,
    summary: route.summary,
    description: route.description === undefined ? access : `${route.description} ${access}`,
    tags: [route.tag],
    security: route.roles === 'public' ? [] : [{ token: [] }],
    parameters: [
      ...parametersOf(route.params, 'path', components),
      ...parametersOf(route.query, 'query', components),
      ...headerParameters(route),
    ],
    ...(body && {
      requestBody: {
        required: !route.body?.safeParse(undefined).success,
        content: {
          'application/json': { schema: body, ...(route.example === undefined ? {} : { example: route.example }) },
        },
      },
    }),
    ...(route.streams && {
      requestBody: {
        required: true,
        content: Object.fromEntries(route.streams.map((type) => [type, { schema: { type: 'string' } }])),
      },
    }),
    responses: { ...answersOf(route, components), ...problemAnswers(route) },
  };
}

function parametersOf(schema: z.ZodType | undefined, place: 'path' | 'query', components: Components): JsonSchema[] {
  if (schema === undefined) return [];
  const { properties, required } = inputSchema(schema);
  const needed = Array.isArray(required) ? required : [];
  return Object.entries(isSchema(properties) ? properties : {}).map(([name, field]) => {
    const { description: words, ...rest } = isSchema(field) ? field : {};
    return {
      name,
      in: place,
      required: place === 'path' || needed.includes(name),
      ...(words === undefined ? {} : { description: words }),
      schema: components.use(rest, 'Input'),
    };
  });
}

function headerParameters(route: RouteDefinition): JsonSchema[] {
  const header = (name: string, required: boolean, words: string) => ({
    name,
    in: 'header',
    required,
    description: words,
    schema: { type: 'string' },
  });
  return [
    ...(route.ifMatch ? [header('If-Match', true, 'ETag of the version that the change is based on.')] : []),
    ...(route.idempotent
      ? [
          header(
            'Idempotency-Key',
            false,
            'Makes it safe to send the request again: the first result is given again, for 30 days.',
          ),
        ]
      : []),
  ];
}

function answersOf(route: RouteDefinition, components: Components): Record<string, JsonSchema> {
  const answers = Object.entries(route.response).map(([status, schema]) => {
    if (schema === noContent) return [status, { description: 'Done; no body.' }];
    if (schema === textOrStream) {
      const content = { [route.contentType ?? 'text/plain']: { schema: { type: 'string' } } };
      return [status, { description: 'Done.', content }];
    }
    const content = { 'application/json': { schema: components.use(outputSchema(schema), '') } };
    return [status, { description: status === '201' ? 'Created.' : 'Done.', content }];
  });
  return Object.fromEntries(answers);
}

/** The problems that follow from what a route declares, and its own, by status. */
function problemAnswers(route: RouteDefinition): Record<string, JsonSchema> {
  const names = new Set<ProblemName>([
    'invalid-input',
    'too-many-requests',
    'internal',
    'busy',
    ...(route.problems ?? []),
  ]);
  const add = (...more: ProblemName[]) => {
    for (const name of more) names.add(name);
  };
  if (route.roles !== 'public') add('unauthenticated', 'forbidden');
  if (route.params !== undefined) add('not-found');
  if (route.streams !== undefined) add('unsupported-media-type');
  if (route.body !== undefined) add('invalid-json', 'body-too-large', 'unsupported-media-type');
  if (route.ifMatch) add('version-required', 'stale-version');
  if (route.idempotent) add('request-running', 'key-reused');
  const statuses = new Set([...names].map((name) => problems[name].status).sort((a, b) => a - b));
  const answers = [...statuses].map((status) => {
    const group = [...names].filter((name) => problems[name].status === status).sort();
    const words = group.map((name) => `${problems[name].title} (\`${name}\`).`).join(' ');
    const content = { 'application/problem+json': { schema: { $ref: '#/components/schemas/Problem' } } };
    return [String(status), { description: words, content }];
  });
  return Object.fromEntries(answers);
}

const problemSchema = z
  .looseObject({
    type: z.enum(Object.keys(problems).map((name) => `/problems/${name}`)),
    title: z.string(),
    status: z.int(),
    detail: z.string().describe('Names the thing, its value, its limit and what to do.'),
    requestId: z.string(),
    errors: z
      .array(
        z.object({
          in: z.enum(['body', 'query', 'path', 'header']),
          pointer: z.string().describe('JSON Pointer (RFC 6901) into that part of the request.'),
          message: z.string(),
        }),
      )
      .optional(),
    findings: z.array(z.looseObject({})).optional().describe('Why the rules refuse.'),
    alternatives: z.array(z.looseObject({})).optional().describe('What could be done instead.'),
  })
  .describe('A problem document (RFC 9457).');

/** Named schemas, each described once. */
class Components {
  readonly #byName = new Map<string, string>([['Problem', JSON.stringify(outputSchema(problemSchema))]]);

  /** Moves the `$defs` of a schema document here and points its references at them. */
  use(document: JsonSchema, suffixOnConflict: string): JsonSchema {
    const { $defs, ...schema } = document;
    const definitions = Object.entries(isSchema($defs) ? $defs : {});
    const names = this.#namesFor(definitions, suffixOnConflict);
    for (const [name, definition] of definitions) {
      this.#byName.set(names.get(name) ?? name, JSON.stringify(pointAt(definition, names)));
    }
    return pointAt(schema, names);
  }

  /** A schema whose form differs from the one known by its name takes another; so then do those that refer to it. */
  #namesFor(definitions: readonly (readonly [string, unknown])[], suffix: string): ReadonlyMap<string, string> {
    const names = new Map(definitions.map(([name]) => [name, name]));
    for (let changed = suffix !== ''; changed; ) {
      changed = false;
      for (const [name, definition] of definitions) {
        const known = this.#byName.get(name);
        if (names.get(name) !== name || known === undefined) continue;
        if (known === JSON.stringify(pointAt(definition, names))) continue;
        names.set(name, `${name}${suffix}`);
        changed = true;
      }
    }
    return names;
  }

  schemas(): Record<string, unknown> {
    const sorted = [...this.#byName].sort(([a], [b]) => (a < b ? -1 : 1));
    return Object.fromEntries(sorted.map(([name, text]) => [name, JSON.parse(text)]));
  }
}

function pointAt(value: unknown, names: ReadonlyMap<string, string>): JsonSchema {
  if (!isSchema(value)) return {};
  return mapSchema(value, (node) => {
    const name = typeof node.$ref === 'string' ? /^#\/\$defs\/(.+)$/.exec(node.$ref)?.[1] : undefined;
    if (name === undefined) return node;
    return { ...node, $ref: `#/components/schemas/${names.get(name) ?? name}` };
  });
}
