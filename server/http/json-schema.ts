import { z } from 'zod';

export type JsonSchema = { readonly [keyword: string]: unknown };

/** The JSON Schema of what a client sends. */
export function inputSchema(schema: z.ZodType): JsonSchema {
  return withoutDialect(z.toJSONSchema(schema, { io: 'input' }));
}

/** The JSON Schema of what the service answers. */
export function outputSchema(schema: z.ZodType): JsonSchema {
  return withoutDialect(z.toJSONSchema(schema, { io: 'output' }));
}

/**
 * The schema Fastify compiles into a serialiser: twice as fast as validating the answer with zod, and as strict about
 * fields that are not declared. Null alternatives become type lists, which spares the serialiser trying branch by branch.
 */
export function serialiserSchema(schema: z.ZodType): JsonSchema {
  const document = withoutDialect(z.toJSONSchema(schema, { io: 'output', target: 'draft-7' }));
  return mapSchema(document, (node) => nullAsType(node));
}

/** Applies `change` to every schema in a schema document, innermost first. */
export function mapSchema(node: JsonSchema, change: (node: JsonSchema) => JsonSchema): JsonSchema {
  const walk = (value: unknown): unknown => {
    if (Array.isArray(value)) return value.map(walk);
    return isSchema(value) ? mapSchema(value, change) : value;
  };
  const inner = Object.entries(node).map(([keyword, value]) => {
    if (keyword === 'const' || keyword === 'enum' || keyword === 'default' || keyword === 'examples') {
      return [keyword, value];
    }
    // The fields of these are names, not keywords.
    if ((keyword === 'properties' || keyword === '$defs' || keyword === 'definitions') && isSchema(value)) {
      return [keyword, Object.fromEntries(Object.entries(value).map(([name, field]) => [name, walk(field)]))];
    }
    return [keyword, walk(value)];
  });
  return change(Object.fromEntries(inner));
}

export function isSchema(value: unknown): value is JsonSchema {
  return typeof value === 'object' && value !== null && !Array.isArray(value);
}

function nullAsType(node: JsonSchema): JsonSchema {
  const { anyOf, ...rest } = node;
  if (!Array.isArray(anyOf) || anyOf.length !== 2) return node;
  const [first, second]: unknown[] = anyOf;
  if (!isSchema(first) || !isSchema(second) || second.type !== 'null' || typeof first.type !== 'string') return node;
  if (first.type === 'object' || first.type === 'array') return { ...rest, ...first, nullable: true };
  // A constant or a list of values speaks for itself; null is not among them.
  if ('enum' in first || 'const' in first) return node;
  return { ...rest, ...first, type: [first.type, 'null'] };
}

function withoutDialect(schema: object): JsonSchema {
  const { $schema: _, '~standard': __, ...rest } = { $schema: null, '~standard': null, ...schema };
  return rest;
}

/**
 * What is wrong with an input schema as a door: an object that would let unknown fields through, or a string or list
 * that may be of any length. Returns the places; empty means sound.
 */
export function looseParts(schema: z.ZodType): string[] {
  const found: string[] = [];
  mapSchema(inputSchema(schema), (node) => {
    const name = typeof node.title === 'string' ? node.title : JSON.stringify(node).slice(0, 80);
    if (node.type === 'object' && node.additionalProperties === undefined) found.push(`not a strict object: ${name}`);
    const bounded = ['maxLength', 'enum', 'const', 'pattern', 'format'].some((keyword) => keyword in node);
    if (node.type === 'string' && !bounded) found.push(`a string without a greatest length: ${name}`);
    if (node.type === 'array' && !('maxItems' in node) && !('prefixItems' in node)) {
      found.push(`a list without a greatest length: ${name}`);
    }
    return node;
  });
  return found;
}
