import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { Problem } from '../../../server/errors.ts';
import { readCsvItems } from '../../../server/inventory/csv-items.ts';
import { linesOfPointers } from '../../../server/inventory/json-lines.ts';
import { berthSchema, outletSchema } from '../../../server/inventory/schema.ts';

describe('the lines of pointers', () => {
  test('of any JSON are those on which its values stand', () => {
    fc.assert(
      fc.property(fc.jsonValue({ maxDepth: 4 }), (value) => {
        const text = JSON.stringify(value, null, 1);
        const leaves = leavesOf(value, '');
        const lines = linesOfPointers(text, [...leaves.keys()]);
        const rows = text.split('\n');
        for (const [pointer, leaf] of leaves) {
          expect(rows[(lines.get(pointer) ?? 0) - 1]).toContain(JSON.stringify(leaf));
        }
      }),
    );
  });

  test('to what is missing get the line of what is around it', () => {
    const text = '{\n "docks": [\n  { "id": "A" }\n ]\n}';
    const lines = linesOfPointers(text, ['/docks/0/label', '/docks/7', '/berths']);
    expect([...lines.values()]).toEqual([3, 2, 1]);
  });
});

/** Every plain value by its pointer (RFC 6901). */
function leavesOf(value: unknown, pointer: string): Map<string, unknown> {
  if (typeof value !== 'object' || value === null) return new Map([[pointer, value]]);
  const steps = Object.entries(value).flatMap(([name, inner]) => [
    ...leavesOf(inner, `${pointer}/${name.replaceAll('~', '~0').replaceAll('/', '~1')}`),
  ]);
  return new Map(steps);
}

describe('tables', () => {
  test('become items: numbers, lists, fields within fields, and unknowns', () => {
    const text = [
      'id;label;pedestalId;configurationId;lines;breakerA;groundFault.device;groundFault.settingMa;subMetered',
      'a1;A;p1;L5-30;L1 L2;30;fitted;30;yes',
      'a2;"A; spare";p1;L5-30;;;none;;no',
    ].join('\n');
    expect(readCsvItems(text, outletSchema)).toEqual([
      {
        row: 2,
        item: {
          ...{ id: 'a1', label: 'A', pedestalId: 'p1', configurationId: 'L5-30', lines: ['L1', 'L2'], breakerA: 30 },
          ...{ groundFault: { device: 'fitted', settingMa: 30 }, subMetered: true },
        },
      },
      {
        row: 3,
        item: {
          ...{ id: 'a2', label: 'A; spare', pedestalId: 'p1', configurationId: 'L5-30', lines: null, breakerA: null },
          ...{ groundFault: { device: 'none' }, subMetered: false },
        },
      },
    ]);
  });

  test('take lists of things as JSON, and pass on what is of the wrong kind', () => {
    const text = 'id,unitIds,lengthM,reaches\nB1,u1 u2,long,"[{""outletId"":""a1""}]"\n';
    expect(readCsvItems(text, berthSchema)[0]?.item).toEqual({
      ...{ id: 'B1', unitIds: ['u1', 'u2'], lengthM: 'long', reaches: [{ outletId: 'a1' }] },
    });
  });

  test.each([
    ['id,colour\na,red\n', 1, '"colour", is no field'],
    ['id,label\na,A\n,B\n', 3, 'no id'],
    ['id,label\n', 1, 'heading row'],
    ['id,label\n"a,A\n', 1, 'cannot be read'],
  ])('that are none are refused at their row: %j', (text, row, words) => {
    const read = () => readCsvItems(text, outletSchema);
    expect(read).toThrow(words);
    try {
      read();
    } catch (error) {
      expect(error instanceof Problem && error.parts.errors?.[0]?.pointer).toBe(`/${row}`);
    }
  });
});
