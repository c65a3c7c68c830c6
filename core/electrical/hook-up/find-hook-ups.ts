import type { Finding, Subject } from '../../findings.ts';
import { adapterKinds } from '../../standards/adapter-kinds.ts';
import type { AvailableAdapter } from './available-adapter.ts';
import type { HookUpBoat, HookUpContext, JudgedHookUp } from './hook-up.ts';
import { powerInlets } from './inlet-rules.ts';
import { judgedHookUp } from './judge.ts';
import { prepareHookUpSearch, type SearchFacts } from './search-hook-ups.ts';
import type { SupplyOutlet } from './supply-outlet.ts';

export interface HookUpRequest extends SearchFacts {
  /** Outlets that are free and within reach, the preferred first; those beyond 31 are not searched. */
  readonly outlets: readonly SupplyOutlet[];
  /** Hook-ups wanted, best first. */
  readonly most: number;
}

export interface FoundHookUps {
  /** Best first: by verdict, inlets left without power, doubts, adapters, outlets. Refused ones only where nothing else is. */
  readonly hookUps: readonly JudgedHookUp[];
  /** Why there is none, where there is none. */
  readonly findings: readonly Finding[];
  /** True where the search was cut short at its bound; the best found stand. */
  readonly truncated: boolean;
}

/** Pieces aboard and in stock as the search takes them. Kinds that nobody knows are left out. */
export function adaptersAboard(boat: HookUpBoat): AvailableAdapter[] {
  return (boat.adapterKindIds?.value ?? []).map((kindId) => ({ kindId, from: 'aboard', stockId: null, quantity: 1 }));
}

/**
 * Finds how the boat can be connected at one berth and judges each way. A boat that wants no power gets the empty
 * hook-up.
 */
export function findHookUps(request: HookUpRequest): FoundHookUps {
  const context = contextOf(request);
  const { boat, outlets, most } = request;
  if (boat.wantsPower?.value === false)
    return { hookUps: [judgedHookUp({ adapters: [], joints: [] }, context)], findings: [], truncated: false };
  if (powerInlets(boat).length === 0) return { hookUps: [], findings: [inletsUnknown(boat)], truncated: false };

  const { ways, truncated } = prepareHookUpSearch(request).best(outlets, most);
  return {
    hookUps: ways.map(({ hookUp }) => judgedHookUp(hookUp, context)),
    findings: ways.length === 0 ? [nothingMates(boat, outlets)] : [],
    truncated,
  };
}

/**
 * Everything at hand, and as much as could be used of every known kind: pieces marked `toBring` in what is found are what
 * to ask for.
 */
export function withAnyAdapter({ adapters, adapterKinds: own }: Pick<SearchFacts, 'adapters' | 'adapterKinds'>) {
  const kinds = new Map([...adapterKinds.map((kind) => [kind.id, kind] as const), ...own]);
  const toBring = [...kinds.keys()].map((kindId): AvailableAdapter => {
    return { kindId, from: 'toBring', stockId: null, quantity: 2 };
  });
  return { adapters: [...adapters, ...toBring], adapterKinds: kinds };
}

function contextOf(request: HookUpRequest): HookUpContext {
  const { boat, refuseCordBelowBreaker } = request;
  const outlets = new Map(request.outlets.map((outlet) => [outlet.id, outlet]));
  return { boat, outlets, adapterKinds: request.adapterKinds, refuseCordBelowBreaker };
}

/** Why a boat without a power inlet cannot be connected. */
export function inletsUnknown(boat: HookUpBoat): Finding {
  const subject: Subject = { kind: 'boat', id: boat.id, label: boat.name };
  const base = { subject, limit: null, unit: null, source: 'common practice: the plug decides the outlet' };
  if (boat.inlets.length > 0)
    return {
      rule: 'hookup.notPowerInlet',
      level: 'refuse',
      ...base,
      actual: 'no power inlet',
      message: `No inlet of ${boat.name} is for power. Ask where its shore power enters.`,
      mend: 'a power inlet',
    };
  return {
    rule: 'hookup.inletsUnknown',
    level: 'confirm',
    ...base,
    actual: null,
    message: `Nobody has stated which plug ${boat.name} has. Ask.`,
    missingFact: { subject, fact: 'inlets', question: 'What plug does the boat have: 30 A, 50 A, several, other?' },
  };
}

/** Why none of these outlets feeds the boat. */
export function nothingMates(boat: HookUpBoat, outlets: readonly SupplyOutlet[]): Finding {
  const wanted = powerInlets(boat).map((inlet) => inlet.configurationIds?.value.join(' or ') ?? 'an unknown plug');
  const offered = [...new Set(outlets.map((outlet) => outlet.configurationId))];
  const limit = wanted.join(' and ');
  const actual = offered.join(', ') || 'no free outlet within reach';
  return {
    rule: 'hookup.mating',
    level: 'refuse',
    subject: { kind: 'boat', id: boat.id, label: boat.name },
    actual,
    limit,
    unit: null,
    source: 'NEMA WD 6, UL 1682, IEC 60309-2: different configurations do not mate',
    message: `${boat.name} needs ${limit}; the berth has ${actual}, and no adapter at hand joins them. Choose another berth or bring an adapter.`,
    mend: `a free outlet of ${limit}, or an adapter from ${actual}`,
  };
}
