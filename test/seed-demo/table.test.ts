import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { tableText, wrap } from '../../seed-demo/print/table.ts';

describe('wrapped cells', () => {
  it('keep every letter and never pass the width', () => {
    const text = fc.string({ unit: fc.constantFrom('a', 'b', ' '), maxLength: 80 });
    fc.assert(
      fc.property(text, fc.integer({ min: 4, max: 30 }), (said, width) => {
        const lines = wrap(said, width);
        expect(lines.every((line) => line.length <= width)).toBe(true);
        expect(lines.join('').replaceAll(' ', '')).toBe(said.replaceAll(' ', ''));
      }),
    );
  });

  it('stand in columns under their titles', () => {
    const columns = [
      { title: 'Boat', width: 8 },
      { title: 'Cord', width: 6 },
    ];
    const text = tableText(columns, [
      [['Long Otter'], ['15.2 m']],
      [['Wren'], []],
    ]);
    expect(text.split('\n')).toEqual([
      'Boat      Cord',
      '--------  ------',
      'Long      15.2 m',
      '  Otter',
      '--------  ------',
      'Wren',
    ]);
  });
});
