import type { Finding } from '../../findings.ts';
import type { Lying } from './cords.ts';
import type { Wishes } from './options.ts';

interface Wish {
  readonly name: string;
  readonly of: (wishes: Wishes) => string | null;
  readonly got: (lying: Lying) => string;
}

const wishList: readonly Wish[] = [
  { name: 'berth', of: ({ berthId }) => berthId, got: ({ facts }) => facts.berth.id },
  { name: 'dock', of: ({ dockId }) => dockId, got: ({ facts }) => facts.dock.id },
  { name: 'orientation', of: ({ orientation }) => orientation, got: ({ orientation }) => orientation },
  { name: 'mooring', of: ({ mooring }) => mooring, got: ({ facts }) => facts.dock.kind },
];

function isUnmet({ of, got }: Wish, wishes: Wishes, lying: Lying): boolean {
  const wish = of(wishes);
  return wish !== null && wish !== got(lying);
}

export function countUnmet(wishes: Wishes, lying: Lying): number {
  let count = 0;
  for (const wish of wishList) if (isUnmet(wish, wishes, lying)) count += 1;
  return count;
}

/** Wishes that a berth leaves unmet, as notes: a wish ranks, it never refuses. */
export function judgeWishes(wishes: Wishes, lying: Lying): Finding[] {
  const { berth } = lying.facts;
  return wishList
    .filter((wish) => isUnmet(wish, wishes, lying))
    .map(({ name, of, got }) => ({
      rule: `wish.${name}`,
      level: 'note',
      subject: { kind: 'berth', id: berth.id, label: berth.label },
      actual: got(lying),
      limit: of(wishes),
      unit: null,
      source: "the boater's wish",
      message: `The boater asked for ${name} ${of(wishes)}; berth ${berth.label} gives ${got(lying)}.`,
    }));
}
