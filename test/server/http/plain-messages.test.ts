import { describe, expect, it } from 'vitest';
import { z } from 'zod';
import type { InputError } from '../../../server/errors.ts';
import { validatePart } from '../../../server/http/validation.ts';

function faults(schema: z.ZodType, value: unknown): string[] {
  const errors: InputError[] = [];
  validatePart({ part: 'body', schema, value }, errors);
  return errors.map(({ pointer, message }) => `${pointer} ${message}`);
}

const boat = z.strictObject({
  name: z.string().min(2).max(5),
  hull: z.enum(['monohull', 'multihull']),
  lengthM: z.number().positive().max(100),
  inlets: z.array(z.strictObject({ id: z.string() })).max(2),
});

describe('the words of a fault', () => {
  it('name what is missing and what is wanted', () => {
    expect(faults(boat, {})).toEqual([
      '/name This is missing. Give text.',
      '/hull This is missing. Give one of "monohull", "multihull".',
      '/lengthM This is missing. Give a number.',
      '/inlets This is missing. Give a list.',
    ]);
    expect(faults(boat, undefined)).toEqual([' This is missing. Give an object with its fields.']);
    expect(faults(z.undefined(), {})).toEqual([' This request takes no body. Leave it out.']);
  });

  it('say what was given instead, cut short where it is endless', () => {
    const given = { name: 7, hull: 'x'.repeat(1_000_000), lengthM: Number.NaN, inlets: [{ id: null }, { ib: 'a' }] };
    expect(faults(boat, given)).toEqual([
      '/name This is a number. Give text.',
      `/hull "${'x'.repeat(59)}..." is not known here. Give one of "monohull", "multihull".`,
      '/lengthM This is no number. Give a number.',
      '/inlets/0/id This is null. Give text.',
      '/inlets/1/id This is missing. Give text.',
      '/inlets/1/ib There is no such field.',
    ]);
  });

  it('name the bound that is passed', () => {
    const id = { id: 'a' };
    expect(faults(boat, { name: 'a', hull: 'monohull', lengthM: 0, inlets: [id, id, id] })).toEqual([
      '/name Write at least 2 characters.',
      '/lengthM 0 is too small. Give more than 0.',
      '/inlets List at most 2 items.',
    ]);
    expect(faults(z.int().min(1), 1.5)).toEqual([' This is a number with decimals. Give a whole number.']);
  });

  it('say of a choice of forms what each wants, unless one got further', () => {
    const either = z.union([z.strictObject({ id: z.string() }), z.number()]);
    expect(faults(either, 'x')).toEqual([
      ' This is text. Give an object with its fields. Or: This is text. Give a number.',
    ]);
    expect(faults(either, { id: 'a', more: { deep: 1 } })).toEqual(['/more There is no such field.']);
    expect(faults(either, { id: 3 })).toEqual(['/id This is a number. Give text.']);
  });

  it('leave a message of its own as it is', () => {
    expect(faults(z.string({ error: 'Say who calls.' }), undefined)).toEqual([' Say who calls.']);
  });
});
