import type { z } from 'zod';
import type { JsonSchema } from '../http/json-schema.ts';
import type { Fields, FormState } from '../pages/fields.ts';
import { Field, Select } from '../pages/parts/form.tsx';
import { lengthField, readLength, type View } from '../pages/view.ts';
import { cellValue } from './csv-items.ts';
import { itemFields, kindsOf } from './item-fields.ts';

type Stored = Readonly<Record<string, unknown>> | null;

interface SchemaFieldsProps {
  readonly view: View;
  readonly form: FormState;
  readonly schema: z.ZodType;
  /** As it is stored; null: there is nothing yet. */
  readonly stored: Stored;
}

/** A labelled field for each field of a schema: choices where it has them, lengths in the unit of the view. */
export function SchemaFields({ view, form, schema, stored }: SchemaFieldsProps) {
  const { common, inventory } = view.texts;
  const words: Readonly<Record<string, string>> = inventory.values;
  return (
    <div class="side-by-side">
      {Object.entries(itemFields(schema)).map(([name, field]) => {
        const value = shownValue(view, name, field, stored?.[name]);
        const label = fieldLabel(view, name, field);
        const choices = choicesOf(field);
        if (choices.length > 0) {
          const options = choices.map((each) => [each, words[each] ?? each] as const);
          const empty = kindsOf(field).some(({ type }) => type === 'null') || stored === null;
          return (
            <Select
              key={name}
              form={form}
              name={name}
              label={label}
              value={value}
              options={empty ? [['', common.unknown], ...options] : options}
            />
          );
        }
        return isDeep(field) ? (
          <Field key={name} form={form} name={name} label={label} value={value} rows={3} />
        ) : (
          <Field key={name} form={form} name={name} label={label} value={value} />
        );
      })}
    </div>
  );
}

/**
 * What the fields of a schema say. An empty one is unknown, or its usual value where it cannot be. A length that was left
 * as it was shown keeps its millimetres.
 */
export function readSchemaFields(
  fields: Fields,
  view: View,
  schema: z.ZodType,
  stored: Stored,
): Record<string, unknown> {
  const read: Record<string, unknown> = {};
  for (const [name, field] of Object.entries(itemFields(schema))) {
    const text = fields.text(name) ?? '';
    const present = stored?.[name];
    const isLeft = isLength(name, field) && present != null && text === shownValue(view, name, field, present);
    const value = isLeft ? present : fieldValue(view, name, field, text);
    if (value !== undefined) read[name] = value;
  }
  return read;
}

/** Labels by the names of fields, for faults that name one. */
export function fieldLabels(view: View, schema: z.ZodType): Readonly<Record<string, string>> {
  const fields = Object.entries(itemFields(schema));
  return Object.fromEntries(fields.map(([name, field]) => [name, fieldLabel(view, name, field)]));
}

function fieldLabel({ texts: { inventory }, lengths }: View, name: string, field: JsonSchema): string {
  const words: Readonly<Record<string, string>> = inventory.fields;
  const label = words[name] ?? name;
  return isLength(name, field) ? inventory.inUnit(label, inventory.units[lengths]) : label;
}

function fieldValue(view: View, name: string, field: JsonSchema, text: string): unknown {
  if (!isLength(name, field) || text === '') return cellValue(text, field);
  // A tide or a depth may lie below the datum.
  const metres = text.startsWith('-') ? -readLength(view, text.slice(1)) : readLength(view, text);
  // The API says what is wrong with what is no length.
  return Number.isNaN(metres) ? text : metres;
}

function shownValue(view: View, name: string, field: JsonSchema, value: unknown): string {
  if (value === null || value === undefined) return '';
  if (isLength(name, field) && typeof value === 'number') return lengthField(view, value);
  return isDeep(field) ? JSON.stringify(value) : String(value);
}

function isLength(name: string, field: JsonSchema): boolean {
  return /[a-z]M$/.test(name) && kindsOf(field).some(({ type }) => type === 'number');
}

function isDeep(field: JsonSchema): boolean {
  return kindsOf(field).some(({ type }) => type === 'object' || type === 'array');
}

function choicesOf(field: JsonSchema): string[] {
  const kinds = kindsOf(field);
  if (kinds.some(({ type }) => type === 'boolean')) return ['true', 'false'];
  return kinds.flatMap((kind) =>
    Array.isArray(kind.enum) ? kind.enum.map(String) : kind.const === undefined ? [] : [String(kind.const)],
  );
}
