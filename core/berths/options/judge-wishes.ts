import type { Finding } from '../../findings.ts';
import type { Lying } from './cords.ts';
import type { Wishes } from './options.ts';

interface UnmetWish {
  readonly name: string;
  readonly wish: string;
  readonly got: string;
}

export function unmetWishes(wishes: Wishes, { berth, dock, orientation }: Lying): UnmetWish[] {
  const unmet: UnmetWish[] = [];
  const compare = (name: string, wish: string | null, got: string) => {
    if (wish !== null && wish !== got) unmet.push({ name, wish, got });
  };
  compare('berth', wishes.berthId, berth.id);
  compare('dock', wishes.dockId, dock.id);
  compare('orientation', wishes.orientation, orientation);
  compare('mooring', wishes.mooring, dock.kind);
  return unmet;
}

/** Wishes that a berth leaves unmet, as notes: a wish ranks, it never refuses. */
export function judgeWishes(wishes: Wishes, lying: Lying): Finding[] {
  const { berth } = lying;
  return unmetWishes(wishes, lying).map(({ name, wish, got }) => ({
    rule: `wish.${name}`,
    level: 'note',
    subject: { kind: 'berth', id: berth.id, label: berth.label },
    actual: got,
    limit: wish,
    unit: null,
    source: "the boater's wish",
    message: `The boater asked for ${name} ${wish}; berth ${berth.label} gives ${got}.`,
  }));
}
