import { parse } from 'csv-parse/sync';
import type { z } from 'zod';
import { type InputError, Problem } from '../errors.ts';
import { isSchema, type JsonSchema } from '../http/json-schema.ts';
import { innerField, itemFields, kindsOf } from './item-fields.ts';

/** One row of a table, as an item of the inventory. */
export interface CsvItem {
  /** Line of the text on which the row ends, from 1. */
  readonly row: number;
  readonly item: Readonly<Record<string, unknown>>;
}

/**
 * Reads a table with a heading row: columns are the fields of the items, `groundFault.device` a field within a field.
 * An empty cell is unknown; several values in one cell stand apart by spaces; what is more is written as JSON. A value of
 * the wrong kind is passed on as it is written: the API names it.
 * @throws Problem `invalid-input` for what is no table, a heading that is no field, or a row without an id
 */
export function readCsvItems(text: string, schema: z.ZodType): CsvItem[] {
  const properties = itemFields(schema);
  const rows = rowsOf(text);
  const [heading, ...body] = rows;
  if (heading === undefined || body.length === 0) throw fault(1, 'Write a heading row and at least one row below it.');
  heading.record.forEach((name, column) => {
    const [field = '', inner] = name.trim().split('.');
    const known = properties[field];
    const isField = inner === undefined ? known !== undefined : innerField(known, inner) !== undefined;
    if (!isField)
      throw fault(
        heading.line,
        `Column ${column + 1}, "${name}", is no field. Use: ${Object.keys(properties).join(', ')}.`,
      );
  });
  return body.map(({ record, line }) => {
    const item: Record<string, unknown> = {};
    heading.record.forEach((name, column) => {
      const cell = record[column]?.trim() ?? '';
      const [field = '', inner] = name.trim().split('.');
      if (inner === undefined) item[field] = cellValue(cell, properties[field]);
      else if (cell !== '') {
        const outer = item[field];
        item[field] = {
          ...(isSchema(outer) ? outer : {}),
          [inner]: cellValue(cell, innerField(properties[field], inner)),
        };
      }
    });
    if (typeof item.id !== 'string' || item.id === '') throw fault(line, 'The row has no id. Fill the column "id".');
    return { row: line, item };
  });
}

function rowsOf(text: string): { record: string[]; line: number }[] {
  try {
    const rows: unknown = parse(text, {
      bom: true,
      info: true,
      relax_column_count: true,
      skip_empty_lines: true,
      delimiter: [',', ';', '\t'],
    });
    // With `info` each row comes with where it was; its types do not know.
    return (rows as { record: string[]; info: { lines: number } }[]).map(({ record, info }) => ({
      record,
      line: info.lines,
    }));
  } catch (error) {
    // A quote left open, or one within a cell: the text is no table.
    if (error instanceof Error && 'code' in error) throw fault(1, `The table cannot be read: ${error.message}`);
    throw error;
  }
}

function fault(row: number, message: string): Problem {
  const error: InputError = { in: 'body', pointer: `/${row}`, message };
  return new Problem('invalid-input', `Row ${row}: ${message}`, { errors: [error] });
}

/** A cell as the kind of value that its field takes. */
export function cellValue(cell: string, schema: JsonSchema | undefined): unknown {
  const kinds = kindsOf(schema);
  const types = kinds.flatMap(({ type }) => type);
  if (cell === '') return types.includes('null') ? null : undefined;
  if (/^[[{]/.test(cell)) return parsed(cell);
  if ((types.includes('number') || types.includes('integer')) && /^-?\d+([.]\d+)?$/.test(cell)) return Number(cell);
  if (types.includes('boolean') && /^(true|false|yes|no)$/i.test(cell)) return /^(true|yes)$/i.test(cell);
  if (types.includes('array')) {
    const numbers = kinds.some(({ items }) => isSchema(items) && items.type === 'number');
    return cell.split(/\s+/).map((word) => (numbers ? Number(word) : word));
  }
  return cell;
}

function parsed(cell: string): unknown {
  try {
    return JSON.parse(cell);
  } catch {
    // Not JSON: the API says what it wants instead.
    return cell;
  }
}
