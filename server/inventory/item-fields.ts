import type { z } from 'zod';
import { inputSchema, isSchema, type JsonSchema, mapSchema } from '../http/json-schema.ts';

/** The fields of an item of the inventory, each with its schema; what is described elsewhere by name is put in place. */
export function itemFields(schema: z.ZodType): Readonly<Record<string, JsonSchema>> {
  const document = inputSchema(schema);
  const definitions = isSchema(document.$defs) ? document.$defs : {};
  const resolve = (node: JsonSchema): JsonSchema => {
    const name = typeof node.$ref === 'string' ? node.$ref.replace('#/$defs/', '') : null;
    const definition = name === null ? null : definitions[name];
    return isSchema(definition) ? mapSchema(definition, resolve) : node;
  };
  return propertiesOf(mapSchema(document, resolve));
}

/** The field within a field, or undefined where there is none of that name. */
export function innerField(outer: JsonSchema | undefined, name: string): JsonSchema | undefined {
  return kindsOf(outer)
    .map((kind) => propertiesOf(kind)[name])
    .find((inner) => inner !== undefined);
}

/** The alternatives of a schema, or itself. */
export function kindsOf(schema: JsonSchema | undefined): JsonSchema[] {
  if (schema === undefined) return [];
  return Array.isArray(schema.anyOf) ? schema.anyOf.filter(isSchema).flatMap(kindsOf) : [schema];
}

function propertiesOf({ properties }: JsonSchema): Record<string, JsonSchema> {
  const fields = Object.entries(isSchema(properties) ? properties : {});
  return Object.fromEntries(fields.flatMap(([name, field]) => (isSchema(field) ? [[name, field]] : [])));
}
