import { type Finding, type Subject, verdictOf } from '../../findings.ts';
import type { AdapterKind } from '../../standards/adapter-kind.ts';
import { adapterKinds } from '../../standards/adapter-kinds.ts';
import { type AdapterPool, type Component, enumerateComponents } from './components.ts';
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
import { judgeConnections, judgedHookUp } from './judge.ts';
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
  /** Outlets that are free and within reach, the preferred first; 31 at most. */
  readonly outlets: readonly SupplyOutlet[];
  readonly adapters: readonly AvailableAdapter[];
  readonly adapterKinds: ReadonlyMap<string, AdapterKind>;
  readonly refuseCordBelowBreaker: boolean;
  /** Hook-ups wanted, best first. */
  readonly most: number;
}

export interface FoundHookUps {
  /** Best first: by verdict, inlets left without power, doubts, adapters, pieces from stock, outlets. Refused ones too. */
  readonly hookUps: readonly JudgedHookUp[];
  /** Why there is none, where there is none. */
  readonly findings: readonly Finding[];
  /** True where the search was cut short at its bound; the best found stand. */
  readonly truncated: boolean;
}

// Far above any berth; it bounds what a caller of the calculator can make the search do.
const mostComponents = 5_000;

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
  const { components, truncated } = enumerateComponents(boat, request.outlets, pools, mostComponents);
  const candidates = undominated(components, pools, context);
  const inletCount = powerInlets(boat).length;
  let best = combine(candidates, inletCount, pools, request.most, false);
  // Leaving an inlet without power is worth a thought only where nothing feeds them all.
  if (best.every((each) => each.score.gravity === 3)) best = combine(candidates, inletCount, pools, request.most, true);
  const hookUps = best.map((each) => judgedHookUp(assemble(each.components, pools, request.adapters), context));
  return { hookUps, findings: hookUps.length === 0 ? [nothingMates(request)] : [], truncated };
}

/**
 * The kinds of adapters, aboard or not, that would connect a boat which nothing at hand connects: what to ask for.
 * Null where no kind does.
 */
export function hookUpToBring(request: HookUpRequest): JudgedHookUp | null {
  const adapters = adapterKinds.map(({ id }): AvailableAdapter => {
    return { kindId: id, from: 'aboard', stockId: null, quantity: 2 };
  });
  const kinds = new Map([...adapterKinds.map((kind) => [kind.id, kind] as const), ...request.adapterKinds]);
  const found = findHookUps({ ...request, adapters, adapterKinds: kinds, most: 1 }).hookUps[0];
  if (found === undefined || found.verdict === 'refused') return null;
  const bring = found.hookUp.adapters.map((placed): PlacedAdapter => ({ ...placed, from: 'toBring' }));
  return { ...found, hookUp: { ...found.hookUp, adapters: bring } };
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

interface Candidate {
  readonly component: Component;
  readonly score: Score;
  readonly uses: readonly number[];
}

/** Compared part by part, less is better. */
interface Score {
  readonly gravity: number;
  readonly unfed: number;
  /** Findings that refuse or want confirmation. */
  readonly doubts: number;
  readonly adapters: number;
  readonly outlets: number;
}

export function compareScores(a: Score, b: Score): number {
  return (
    a.gravity - b.gravity ||
    a.unfed - b.unfed ||
    a.doubts - b.doubts ||
    a.adapters - b.adapters ||
    a.outlets - b.outlets
  );
}

const gravityOf = { clear: 0, cautioned: 1, unconfirmed: 2, refused: 3 } as const;

/** The score of a judged hook-up that leaves `unfed` inlets without power. */
export function scoreOf(findings: readonly Finding[], unfed: number, adapters: number, outlets: number): Score {
  const doubts = findings.filter(({ level }) => level === 'refuse' || level === 'confirm').length;
  return { gravity: gravityOf[verdictOf(findings)], unfed, doubts, adapters, outlets };
}

/**
 * Judges the components and drops those that take the same outlets for the same inlets as another one that is no
 * worse and uses no adapter beyond theirs.
 */
function undominated(
  components: readonly Component[],
  pools: readonly AdapterPool[],
  context: HookUpContext,
): Candidate[] {
  const kept = new Map<string, Candidate[]>();
  const candidates: Candidate[] = [];
  const fewestFirst = [...components].sort((a, b) => a.adapters.length - b.adapters.length);
  for (const component of fewestFirst) {
    const key = `${component.inletMask} ${component.outletMask}`;
    const rivals = kept.get(key) ?? [];
    const uses = usesOf(component, pools.length);
    const below = rivals.filter((rival) => rival.uses.every((count, i) => count <= (uses[i] ?? 0)));
    if (below.some(({ score }) => score.gravity === 0 && score.doubts === 0)) continue;
    const findings = judgeConnections(assemble([component], pools, []), context);
    const score = scoreOf(findings, 0, component.adapters.length, bitCount(component.outletMask));
    if (below.some((rival) => rival.score.gravity <= score.gravity && rival.score.doubts <= score.doubts)) continue;
    const candidate = { component, score, uses };
    rivals.push(candidate);
    kept.set(key, rivals);
    candidates.push(candidate);
  }
  return candidates.sort((a, b) => compareScores(a.score, b.score));
}

interface Combination {
  readonly components: readonly Component[];
  readonly score: Score;
}

/** The best `most` sets of components that feed every inlet (or some, where `partial`) and share nothing. */
function combine(
  candidates: readonly Candidate[],
  inletCount: number,
  pools: readonly AdapterPool[],
  most: number,
  partial: boolean,
): Combination[] {
  const best: Combination[] = [];
  const left = pools.map((pool) => pool.quantity);
  const byFirstInlet = Array.from({ length: inletCount }, (_, i) =>
    candidates.filter(({ component }) => lowestBit(component.inletMask) === i),
  );
  const chosen: Component[] = [];

  function isHopeless(score: Score): boolean {
    const worst = best[most - 1];
    return worst !== undefined && compareScores(score, worst.score) >= 0;
  }

  function choose(inlet: number, inletMask: number, outletMask: number, score: Score): void {
    if (isHopeless(score)) return;
    if (inlet === inletCount) {
      if (chosen.length === 0) return;
      const at = best.findIndex((each) => compareScores(score, each.score) < 0);
      best.splice(at < 0 ? best.length : at, 0, { components: [...chosen], score });
      if (best.length > most) best.pop();
      return;
    }
    if ((inletMask & (1 << inlet)) !== 0) return choose(inlet + 1, inletMask, outletMask, score);
    for (const { component, score: own, uses } of byFirstInlet[inlet] ?? []) {
      if ((component.inletMask & inletMask) !== 0 || (component.outletMask & outletMask) !== 0) continue;
      if (uses.some((count, i) => count > (left[i] ?? 0))) continue;
      uses.forEach((count, i) => {
        left[i] = (left[i] ?? 0) - count;
      });
      chosen.push(component);
      choose(inlet + 1, inletMask | component.inletMask, outletMask | component.outletMask, sum(score, own));
      chosen.pop();
      uses.forEach((count, i) => {
        left[i] = (left[i] ?? 0) + count;
      });
    }
    // An inlet left out is a matter to confirm, as judged for the whole.
    if (partial) choose(inlet + 1, inletMask, outletMask, sum(score, leftOut));
  }

  choose(0, 0, 0, { gravity: 0, unfed: 0, doubts: 0, adapters: 0, outlets: 0 });
  return best;
}

const leftOut: Score = { gravity: gravityOf.unconfirmed, unfed: 1, doubts: 1, adapters: 0, outlets: 0 };

function sum(a: Score, b: Score): Score {
  return {
    gravity: Math.max(a.gravity, b.gravity),
    unfed: a.unfed + b.unfed,
    doubts: a.doubts + b.doubts,
    adapters: a.adapters + b.adapters,
    outlets: a.outlets + b.outlets,
  };
}

/** One hook-up of several components: adapters numbered through, pieces from aboard taken before the dock's. */
function assemble(
  components: readonly Component[],
  pools: readonly AdapterPool[],
  available: readonly AvailableAdapter[],
): HookUp {
  const supply = available
    .map((entry) => ({ ...entry }))
    .sort((a, b) => Number(a.from !== 'aboard') - Number(b.from !== 'aboard'));
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

function usesOf(component: Component, poolCount: number): number[] {
  const uses = new Array<number>(poolCount).fill(0);
  for (const { poolIndex } of component.adapters) uses[poolIndex] = (uses[poolIndex] ?? 0) + 1;
  return uses;
}

function bitCount(mask: number): number {
  let count = 0;
  for (let rest = mask; rest !== 0; rest &= rest - 1) count++;
  return count;
}

function lowestBit(mask: number): number {
  return 31 - Math.clz32(mask & -mask);
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
