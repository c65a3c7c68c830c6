import type { SupplyOutlet } from './supply-outlet.ts';

/** Outlets that differ in their names alone: any of them does as well as another. */
export type LikeOutlets = readonly [SupplyOutlet, ...SupplyOutlet[]];

/** Groups outlets that are alike in every fact and hang on the same supply and devices, in order of appearance. */
export function groupLike(outlets: readonly SupplyOutlet[]): LikeOutlets[] {
  const groups = new Map<string, [SupplyOutlet, ...SupplyOutlet[]]>();
  for (const outlet of outlets) {
    const key = ownFacts(outlet) + feedOf(outlet, asItIs);
    const group = groups.get(key);
    if (group === undefined) groups.set(key, [outlet]);
    else group.push(outlet);
  }
  return [...groups.values()];
}

const asItIs = (id: string) => id;

/**
 * Everything about outlets that their judgement together depends on, in their order. Two lists with the same key have
 * the same hook-ups, outlet by outlet; ids of supplies and devices count only by which outlets share them.
 */
export function hookUpClassKey(outlets: readonly SupplyOutlet[]): string {
  const numbers = new Map<string, number>();
  const numberOf = (id: string) => {
    const known = numbers.get(id) ?? numbers.size;
    numbers.set(id, known);
    return known;
  };
  let key = '';
  for (const outlet of outlets) key += `${ownFacts(outlet)}${feedOf(outlet, numberOf)}|`;
  return key;
}

const known = new WeakMap<SupplyOutlet, string>();

/** What an outlet is by itself, whatever feeds it. */
export function ownFacts(outlet: SupplyOutlet): string {
  const found = known.get(outlet);
  if (found !== undefined) return found;
  const { configurationId, lines, system, earthing, breakerA, groundFault } = outlet;
  const { device, settingMa } = groundFault;
  const facts = `${configurationId};${lines?.join() ?? '?'};${system?.id ?? '?'};${earthing ?? '?'};${breakerA ?? '?'};${device};${settingMa ?? '?'};`;
  known.set(outlet, facts);
  return facts;
}

/** Its supply and the devices above it, by names that only say which are the same. */
export function feedOf({ supplyId, devicesAbove }: SupplyOutlet, name: (id: string) => string | number): string {
  let feed = supplyId === null ? '?' : `s${name(`s ${supplyId}`)}`;
  for (const { equipmentId, device } of devicesAbove) feed += `,${device}${name(`d ${equipmentId}`)}`;
  return feed;
}
