import type { JsonSchema } from '../../server/http/json-schema.ts';
import { isSchema } from '../../server/http/json-schema.ts';

const texts = [
  'x1',
  '2030-06-14T12:00:00Z',
  '2030-06-14',
  '12:00',
  'America/Chicago',
  '1.00',
  'USD',
  'L1',
  '3/0',
  'fit.length',
];

/**
 * A value that a JSON Schema allows, with every field filled: the first alternative that is not null, the lowest number,
 * one item a list. What a schema cannot say (one field that depends on another) it cannot know either.
 */
export function exampleOf(schema: JsonSchema, root: JsonSchema = schema): unknown {
  if (typeof schema.$ref === 'string') return exampleOf(follow(root, schema.$ref), root);
  if ('const' in schema) return schema.const;
  if (Array.isArray(schema.enum)) return schema.enum[0];
  const alternatives = schema.anyOf ?? schema.oneOf;
  if (Array.isArray(alternatives)) {
    const parts = alternatives.filter(isSchema);
    return exampleOf(parts.find((part) => part.type !== 'null') ?? {}, root);
  }
  switch (schema.type) {
    case 'object':
      return Object.fromEntries(
        Object.entries(isSchema(schema.properties) ? schema.properties : {})
          .filter((field): field is [string, JsonSchema] => isSchema(field[1]))
          .map(([name, field]) => [name, exampleOf(field, root)]),
      );
    case 'array': {
      const first = Array.isArray(schema.prefixItems) ? schema.prefixItems : [schema.items];
      const count = Math.max(first.length, typeof schema.minItems === 'number' ? schema.minItems : 0);
      return Array.from({ length: count }, (_, i) => {
        const item: unknown = first[i] ?? first[0];
        return isSchema(item) ? exampleOf(item, root) : null;
      });
    }
    case 'string':
      return textOf(schema);
    case 'integer':
    case 'number':
      return numberOf(schema);
    case 'boolean':
      return true;
    default:
      return null;
  }
}

function textOf({ format, pattern }: JsonSchema): string {
  if (format === 'date-time') return '2030-06-14T12:00:00Z';
  if (typeof pattern !== 'string') return 'x1';
  const expression = new RegExp(pattern, 'u');
  return texts.find((text) => expression.test(text)) ?? 'x1';
}

function numberOf({ minimum, exclusiveMinimum }: JsonSchema): number {
  if (typeof exclusiveMinimum === 'number') return exclusiveMinimum + 1;
  return typeof minimum === 'number' ? Math.max(minimum, 1) : 1;
}

function follow(root: JsonSchema, ref: string): JsonSchema {
  const found = ref
    .replace(/^#\/?/, '')
    .split('/')
    .filter((step) => step !== '')
    .reduce<unknown>((node, step) => (isSchema(node) ? node[step] : undefined), root);
  if (!isSchema(found)) throw new Error(`no schema at "${ref}"`);
  return found;
}
