import type { OwnSupply } from '../../core/boats.ts';

/** What people say of generators and inverters aboard, as forms offer it: each supply with its transfer, or `none`. */
export const suppliesSaid = [
  'none',
  'generator switched',
  'inverter switched',
  'generator switched+inverter switched',
  'generator parallel',
  'inverter parallel',
] as const;

export type SuppliesSaid = (typeof suppliesSaid)[number];

const kinds = ['generator', 'inverter'] as const;
const transfers = ['switched', 'parallel'] as const;

/** The supplies that a choice of the form names; what it does not offer is none of them. */
export function suppliesOf(said: string): OwnSupply[] {
  return said.split('+').flatMap((each) => {
    const [kind, transfer] = each.split(' ');
    const known = kinds.find((name) => name === kind);
    return known === undefined ? [] : [{ kind: known, transfer: transfers.find((name) => name === transfer) ?? null }];
  });
}

/** The choice that says just these, or `''` where the form offers none. */
export function supplyChoice(supplies: readonly OwnSupply[] | null): SuppliesSaid | '' {
  if (supplies === null) return '';
  const words = supplies.map(({ kind, transfer }) => `${kind} ${transfer}`);
  const text = words.length === 0 ? 'none' : words.sort().join('+');
  return suppliesSaid.find((each) => each === text) ?? '';
}
