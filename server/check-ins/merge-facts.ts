import { isDeepStrictEqual } from 'node:util';
import type { Boat } from '../../core/boats.ts';
import { type BoatAsFound, boatAsFound } from '../../core/check-in/as-found.ts';
import type { Fact } from '../../core/facts.ts';
import type { Contradiction } from './schema.ts';

/**
 * What was seen at the dock flows into the boat's facts with origin dockhand. It outranks whatever was told, except a
 * later look of another dockhand, which stands. Where the two differ, both are named.
 */
export function mergeFacts(stored: Boat, seen: BoatAsFound, at: number) {
  const contradictions: Contradiction[] = [];
  const found = boatAsFound(stored, seen, at);
  const settle = <T>(about: string, before: Fact<T> | null, after: Fact<T> | null): Fact<T> | null => {
    if (before === null || after === null || isDeepStrictEqual(before.value, after.value)) {
      return before !== null && before.origin === 'dockhand' && before.at > at ? before : after;
    }
    if (before.origin !== 'default') contradictions.push(differs(stored.name, about, after.value, before));
    return before.origin === 'dockhand' && before.at > at ? before : after;
  };
  const boat: Boat = {
    ...found,
    wantsPower: settle('wants power', stored.wantsPower, found.wantsPower),
    frequenciesHz: settle('frequencies', stored.frequenciesHz, found.frequenciesHz),
    cordSets: settle('cord sets', stored.cordSets, found.cordSets),
    adapterKindIds: settle('adapters aboard', stored.adapterKindIds, found.adapterKindIds),
    neutralBond: settle('neutral and ground joined', stored.neutralBond ?? null, found.neutralBond ?? null),
    ownSupplies: settle('generator and inverter', stored.ownSupplies ?? null, found.ownSupplies ?? null),
    inlets: found.inlets.map((inlet) => {
      const before = stored.inlets.find(({ id }) => id === inlet.id);
      if (before === undefined) return inlet;
      const of = (what: string) => `inlet ${inlet.id}, ${what}`;
      return {
        ...inlet,
        configurationIds: settle(of('plug'), before.configurationIds, inlet.configurationIds),
        mainBreakerA: settle(of('main breaker'), before.mainBreakerA, inlet.mainBreakerA),
        duty: settle(of('duty'), before.duty, inlet.duty),
        needsLineToLine: settle(of('line to line'), before.needsLineToLine, inlet.needsLineToLine),
      };
    }),
  };
  return { boat, contradictions, isChanged: !isDeepStrictEqual(boat, stored) };
}

function differs(boatName: string, about: string, seen: unknown, told: Fact<unknown>): Contradiction {
  const [dock, desk] = [worded(seen), `${worded(told.value)} (${told.origin})`];
  return { about: `boat: ${about}`, dock, desk, message: `${boatName}, ${about}: seen ${dock}, told ${desk}.` };
}

function worded(value: unknown): string {
  if (Array.isArray(value)) return value.length === 0 ? 'none' : value.map(worded).join(', ');
  if (typeof value !== 'object' || value === null) return String(value);
  const { configurationId, lengthM, ratedA, kind, transfer } = value as Record<string, unknown>;
  if (kind !== undefined) return `${String(kind)} (${transfer === null ? 'transfer unknown' : String(transfer)})`;
  return `${String(configurationId)} ${String(ratedA)} A, ${String(lengthM)} m`;
}
