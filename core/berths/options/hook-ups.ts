import {
  type AvailableAdapter,
  adaptersAboard,
  type FoundHookUps,
  findHookUps,
  type HookUpRequest,
  hookUpToBring,
} from '../../electrical/hook-up/find-hook-ups.ts';
import type { HookUp, JudgedHookUp } from '../../electrical/hook-up/hook-up.ts';
import { hookUpsByClass, nameFindings, nameOutlets, placeOf } from '../../electrical/hook-up/hook-up-classes.ts';
import { judgedHookUp } from '../../electrical/hook-up/judge.ts';
import { type SupplyOutlet, supplyOutlet } from '../../electrical/hook-up/supply-outlet.ts';
import type { Finding } from '../../findings.ts';
import type { InventoryIndex } from '../../inventory/index-inventory.ts';
import type { Outlet } from '../../inventory/inventory.ts';
import type { AdapterKind } from '../../standards/adapter-kind.ts';
import { adapterKinds } from '../../standards/adapter-kinds.ts';
import { configuration } from '../../standards/configurations.ts';
import { type Doubt, doubtOf } from './doubt.ts';
import { freeStock } from './free-stock.ts';
import type { OptionsQuestion } from './options.ts';
import { toldBoat } from './told-boat.ts';

export interface HookUpSearch {
  /** Ways to connect the boat to some of these outlets, best first, refused ones too; or why there is none. */
  readonly find: (outlets: readonly Outlet[]) => HookUpsFound;
  /** Judges one given hook-up, as a person chose it. */
  readonly judge: (hookUp: HookUp, outlets: readonly Outlet[]) => JudgedHookUp;
}

export interface HookUpsFound {
  readonly ways: readonly LikeHookUp[];
  readonly none: readonly Finding[];
  /** A way with the names of these very outlets: costs more than judging it. */
  readonly named: (way: LikeHookUp) => JudgedHookUp;
}

/** A hook-up judged for outlets like these, in figures: places stand for outlets in the list given. */
export interface LikeHookUp {
  readonly judged: JudgedHookUp;
  readonly places: readonly number[];
  readonly feeds: readonly { readonly inletId: string; readonly places: readonly number[] }[];
  readonly doubt: Doubt;
  readonly adapters: number;
  readonly adaptersToBring: number;
  /** Rating of the inlets fed, A. */
  readonly inletsA: number;
}

const mostWays = 6;

/** Hook-ups for one boat, searched once per class of like outlets. */
export function prepareHookUps(question: OptionsQuestion): HookUpSearch {
  const { index, stockUses, period, occupiedUntil } = question;
  const boat = toldBoat(question.boat);
  const kinds = adapterKindsOf(index);
  const { refuseCordBelowBreaker } = index.inventory.settings;
  const adapters: AvailableAdapter[] = [
    ...adaptersAboard(boat),
    ...freeStock(index, stockUses, { from: period.from, until: occupiedUntil }),
  ];
  const request: Omit<HookUpRequest, 'outlets'> = {
    boat,
    adapters,
    adapterKinds: kinds,
    refuseCordBelowBreaker,
    most: mostWays,
  };
  const findLike = hookUpsByClass((outlets) => {
    const found = findHookUps({ ...request, outlets });
    if (found.hookUps.some(({ verdict }) => verdict !== 'refused')) return found;
    const bring = hookUpToBring({ ...request, outlets });
    return bring === null ? found : { ...found, hookUps: [bring, ...found.hookUps], findings: [] };
  });
  const supplied = suppliesOf(index);
  const measured = new Map<FoundHookUps, readonly LikeHookUp[]>();
  return {
    find: (outlets) => {
      const here = outlets.map(supplied);
      const found = findLike(here);
      const ways = measured.get(found) ?? found.hookUps.map(likeHookUp);
      measured.set(found, ways);
      const none = found.findings.length === 0 ? [] : nameFindings(found.findings, here);
      return { ways, none, named: ({ judged }) => nameOutlets(judged, here) };
    },
    judge: (hookUp, outlets) => {
      const byId = new Map(outlets.map((outlet) => [outlet.id, supplied(outlet)]));
      return judgedHookUp(hookUp, { boat, outlets: byId, adapterKinds: kinds, refuseCordBelowBreaker });
    },
  };
}

function likeHookUp(judged: JudgedHookUp): LikeHookUp {
  const { adapters } = judged.hookUp;
  return {
    judged,
    places: judged.outletIds.map(placeOf),
    feeds: judged.inlets.map(({ inletId, legs }) => ({
      inletId,
      places: [...new Set(legs.flatMap(({ outletId }) => (outletId === null ? [] : [placeOf(outletId)])))],
    })),
    doubt: doubtOf(judged.findings),
    adapters: adapters.length,
    adaptersToBring: adapters.filter(({ from }) => from === 'toBring').length,
    inletsA: judged.inlets.reduce((sum, inlet) => sum + (configuration(inlet.configurationId)?.ratedA ?? 0), 0),
  };
}

function adapterKindsOf(index: InventoryIndex): ReadonlyMap<string, AdapterKind> {
  return new Map([...adapterKinds, ...index.inventory.adapterKinds].map((kind) => [kind.id, kind]));
}

const known = new WeakMap<InventoryIndex, Map<string, SupplyOutlet>>();

/** The outlets of an inventory with their supplies, each worked out once per inventory. */
function suppliesOf(index: InventoryIndex): (outlet: Outlet) => SupplyOutlet {
  const cache = known.get(index) ?? new Map<string, SupplyOutlet>();
  known.set(index, cache);
  return (outlet) => {
    const supply = cache.get(outlet.id) ?? supplyOutlet(index, outlet);
    cache.set(outlet.id, supply);
    return supply;
  };
}
