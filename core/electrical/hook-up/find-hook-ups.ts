import type { Finding, Subject } from '../../findings.ts';
import type { AdapterKind } from '../../standards/adapter-kind.ts';
import { adapterKinds } from '../../standards/adapter-kinds.ts';
import { combine, compareScores, type Score, undominated } from './combine.ts';
import { type AdapterPool, type Component, enumerateComponents, mostAdaptersInRow } from './components.ts';
import { gradesOfEnds, gradesOfWiring } from './grades.ts';
import type {
  HookUp,
  HookUpBoat,
  HookUpContext,
  JudgedHookUp,
  PlacedAdapter,
  PowerSink,
  PowerSource,
} from './hook-up.ts';
import { powerInlets } from './inlet-rules.ts';
import { judgedHookUp } from './judge.ts';
import type { SupplyOutlet } from './supply-outlet.ts';

/** One entry of what may be used: aboard, or in the dock's stock and not lent. */
export interface AvailableAdapter {
  readonly kindId: string;
  readonly from: PlacedAdapter['from'];
  readonly stockId: string | null;
  readonly quantity: number;
}

export interface HookUpRequest {
  readonly boat: HookUpBoat;
  /** Outlets that are free and within reach, the preferred first; those beyond 31 are not searched. */
  readonly outlets: readonly SupplyOutlet[];
  readonly adapters: readonly AvailableAdapter[];
  readonly adapterKinds: ReadonlyMap<string, AdapterKind>;
  readonly refuseCordBelowBreaker: boolean;
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

// Far above any berth; it bounds what a caller of the calculator can make the search do.
const mostComponents = 3_000;

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
  const { boat } = request;
  if (boat.wantsPower?.value === false)
    return { hookUps: [judgedHookUp({ adapters: [], joints: [] }, context)], findings: [], truncated: false };
  if (powerInlets(boat).length === 0) return { hookUps: [], findings: [inletsUnknown(boat)], truncated: false };

  const pools = poolsOf(request);
  const inletCount = Math.min(powerInlets(boat).length, 31);
  const { candidates, truncated, best: full } = searchStages(request, context, pools, inletCount);
  const usable = candidates.filter(({ score }) => score.gravity < 3);
  let best = full;
  // Leaving an inlet without power is worth a thought only where nothing feeds them all, a refused way only after that.
  if (best.length === 0) best = combine(usable, inletCount, pools, request.most, true);
  if (best.length === 0) best = combine(candidates, inletCount, pools, request.most, false);
  if (best.length === 0) best = combine(candidates, inletCount, pools, request.most, true);
  const hookUps = best.map((each) => judgedHookUp(assemble(each.components, pools, request.adapters), context));
  return { hookUps, findings: hookUps.length === 0 ? [nothingMates(request)] : [], truncated };
}

/**
 * Hook-ups that feed every inlet and are not refused, with more and more adapters in a row until more of them can only
 * be worse than what is found.
 */
function searchStages(
  request: HookUpRequest,
  context: HookUpContext,
  pools: readonly AdapterPool[],
  inletCount: number,
) {
  const ends = gradesOfEnds(context);
  const wiring = gradesOfWiring(context, (component) => assemble([component], pools, []));
  for (let inRow = 0; ; inRow++) {
    const { components, truncated } = enumerateComponents(request.boat, request.outlets, pools, inRow, mostComponents);
    const candidates = undominated(components, pools.length, ends.ofComponent, wiring);
    const usable = candidates.filter(({ score }) => score.gravity < 3);
    const best = combine(usable, inletCount, pools, request.most, false);
    const last = best[request.most - 1];
    const more: Score = { ...ends.least, unfed: 0, adapters: inRow + 1, outlets: 1 };
    const isEnough = last !== undefined && compareScores(last.score, more) <= 0;
    if (isEnough || inRow === mostAdaptersInRow) return { candidates, truncated, best };
  }
}

/**
 * The best hook-up if any known kind of adapter could be had: its pieces marked `toBring` are what to ask for. Nothing
 * else refuses it; where nobody has said which adapters are aboard it is only unconfirmed. Null where no kind helps.
 */
export function hookUpToBring(request: HookUpRequest): JudgedHookUp | null {
  const kinds = new Map([...adapterKinds.map((kind) => [kind.id, kind] as const), ...request.adapterKinds]);
  const toBring = [...kinds.keys()].map((kindId): AvailableAdapter => {
    return { kindId, from: 'toBring', stockId: null, quantity: 2 };
  });
  const adapters = [...request.adapters, ...toBring];
  const found = findHookUps({ ...request, adapters, adapterKinds: kinds, most: 1 }).hookUps[0];
  const refusals = found?.findings.filter(({ level }) => level === 'refuse') ?? [];
  if (found === undefined || refusals.some(({ rule }) => rule !== 'hookup.adapterMissing')) return null;
  return found;
}

function contextOf(request: HookUpRequest): HookUpContext {
  const { boat, refuseCordBelowBreaker } = request;
  const outlets = new Map(request.outlets.map((outlet) => [outlet.id, outlet]));
  return { boat, outlets, adapterKinds: request.adapterKinds, refuseCordBelowBreaker };
}

function poolsOf(request: HookUpRequest): AdapterPool[] {
  const pools = new Map<string, { kind: AdapterKind; quantity: number }>();
  for (const { kindId, quantity } of request.adapters) {
    const kind = request.adapterKinds.get(kindId);
    if (kind === undefined || quantity < 1) continue;
    pools.set(kindId, { kind, quantity: (pools.get(kindId)?.quantity ?? 0) + quantity });
  }
  return [...pools.values()];
}

const ownerOrder: readonly PlacedAdapter['from'][] = ['aboard', 'stock', 'toBring'];

/** One hook-up of several components: adapters numbered through, pieces from aboard taken before the dock's. */
function assemble(
  components: readonly Component[],
  pools: readonly AdapterPool[],
  available: readonly AvailableAdapter[],
): HookUp {
  const supply = available
    .map((entry) => ({ ...entry }))
    .sort((a, b) => ownerOrder.indexOf(a.from) - ownerOrder.indexOf(b.from));
  const adapters: PlacedAdapter[] = [];
  const joints: HookUp['joints'][number][] = [];
  for (const component of components) {
    const refs = new Map<string, string>();
    for (const { ref, poolIndex } of component.adapters) {
      const kindId = pools[poolIndex]?.kind.id ?? '';
      const entry = supply.find((each) => each.kindId === kindId && each.quantity > 0);
      if (entry !== undefined) entry.quantity--;
      refs.set(ref, `A${adapters.length + 1}`);
      adapters.push({
        ref: `A${adapters.length + 1}`,
        kindId,
        from: entry?.from ?? 'aboard',
        stockId: entry?.stockId ?? null,
      });
    }
    for (const { from, to } of component.joints)
      joints.push({ from: renumbered(from, refs), to: renumbered(to, refs) });
  }
  return { adapters, joints };
}

function renumbered<T extends PowerSource | PowerSink>(end: T, refs: ReadonlyMap<string, string>): T {
  return 'adapter' in end ? { ...end, adapter: refs.get(end.adapter) ?? end.adapter } : end;
}

function inletsUnknown(boat: HookUpBoat): Finding {
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

function nothingMates(request: HookUpRequest): Finding {
  const { boat, outlets } = request;
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
