import type { Inventory } from '../../core/inventory/inventory.ts';
import { type InputError, Problem } from '../errors.ts';
import { type CsvItem, readCsvItems } from './csv-items.ts';
import { linesOfPointers } from './json-lines.ts';
import { collectionSchemas } from './schema.ts';

/** What is brought in: a whole document, or a table of one list. */
export const importKinds = ['json', 'outlets', 'berths'] as const;
export type ImportKind = (typeof importKinds)[number];

/** A fault with where it is written: the line of the text; null where it is not of what was written. */
export interface PlacedFault {
  readonly line: number | null;
  readonly pointer: string;
  readonly message: string;
}

/** A text to bring in, as the API takes it, and the way back from a fault to its line. */
export interface ImportedDocument {
  readonly document: unknown;
  readonly placed: (errors: readonly InputError[]) => PlacedFault[];
}

/**
 * Reads a text as a document of the whole inventory; a table changes what the inventory has, row by row.
 * @throws Problem `invalid-json` or `invalid-input` with the line
 */
export function readImport(text: string, kind: ImportKind, present: Inventory): ImportedDocument {
  return kind === 'json' ? readJson(text) : readTable(readCsvItems(text, collectionSchemas[kind]), kind, present);
}

function readJson(text: string): ImportedDocument {
  const document = parseJson(text);
  return {
    document,
    placed: (errors) => {
      const lines = linesOfPointers(
        text,
        errors.map(({ pointer }) => pointer),
      );
      return errors.map(({ pointer, message }) => ({ pointer, message, line: lines.get(pointer) ?? null }));
    },
  };
}

function parseJson(text: string): unknown {
  try {
    return JSON.parse(text);
  } catch (error) {
    const said = error instanceof SyntaxError ? error.message : String(error);
    const position = Number(/position (\d+)/.exec(said)?.[1] ?? Number.NaN);
    const line = Number.isNaN(position) ? 1 : text.slice(0, position).split('\n').length;
    throw new Problem('invalid-json', `Line ${line}: the text is not JSON. ${said}`, {
      errors: [{ in: 'body', pointer: `/${line}`, message: said }],
    });
  }
}

function readTable(rows: readonly CsvItem[], kind: 'outlets' | 'berths', present: Inventory): ImportedDocument {
  const items: object[] = [...present[kind]];
  const places = new Map(present[kind].map(({ id }, place) => [id, place]));
  const rowOfPlace = new Map<number, number>();
  for (const { row, item } of rows) {
    const id = String(item.id);
    const place = places.get(id) ?? items.length;
    places.set(id, place);
    items[place] = { ...items[place], ...defined(item) };
    rowOfPlace.set(place, row);
  }
  return {
    document: { ...present, [kind]: items },
    placed: (errors) =>
      errors.map(({ pointer, message }) => {
        const [, list, place] = pointer.split('/');
        return { pointer, message, line: list === kind ? (rowOfPlace.get(Number(place)) ?? null) : null };
      }),
  };
}

function defined(item: Readonly<Record<string, unknown>>): Record<string, unknown> {
  return Object.fromEntries(Object.entries(item).filter(([, value]) => value !== undefined));
}
