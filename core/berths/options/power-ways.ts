import type { AdmissionJudgement } from '../../electrical/demand/admission.ts';
import type { HookUp, JudgedHookUp } from '../../electrical/hook-up/hook-up.ts';
import type { Finding } from '../../findings.ts';
import type { Berth, Outlet } from '../../inventory/inventory.ts';
import { configuration } from '../../standards/configurations.ts';
import { toldValue } from '../told-value.ts';
import { withOwners } from './chosen-adapters.ts';
import { addDoubt, type Doubt, doubtOf, noDoubt } from './doubt.ts';
import type { Prepared } from './prepare.ts';

/** One way to power the boat from outlets of a berth, wherever in the berth it lies: cords are measured afterwards. */
export interface PowerWay {
  readonly outlets: readonly Outlet[];
  /** Outlets that feed each inlet. */
  readonly feeds: readonly { readonly inletId: string; readonly outlets: readonly Outlet[] }[];
  readonly demand: AdmissionJudgement | null;
  readonly doubt: Doubt;
  readonly adapters: number;
  readonly adaptersToBring: number;
  /** Rating of the outlets beyond that of the inlets fed, A. */
  readonly outletLeftA: number;
  readonly unbalanceA: number;
  /** The hook-up with its words, null where there is none; worded when asked for. */
  readonly hookUp: () => JudgedHookUp | null;
  readonly findings: () => readonly Finding[];
}

/** A way of which only the hook-up is judged so far: enough to see that it cannot be the best. */
export interface PossibleWay {
  /** The least doubt that the way can have. */
  readonly doubt: Doubt;
  readonly way: () => PowerWay;
}

/**
 * The ways to power the boat from these outlets, as the hook-up search orders them. Never empty: where nothing is found,
 * the one way says why. While the boat's inlets are unknown the largest free outlet is kept and loads its feeder in full,
 * so that the berth can be held; check-in decides.
 */
export function powerWays(prepared: Prepared, berth: Berth, outlets: readonly Outlet[]): readonly PossibleWay[] {
  const { boat } = prepared.question;
  if (toldValue(boat.wantsPower) === false) {
    const hookUp = prepared.hookUps.judge({ adapters: [], joints: [] }, []);
    return [possible({ ...withoutOutlets(hookUp.findings), hookUp: () => hookUp })];
  }
  const free = outlets.filter((outlet) => !prepared.userOfOutlet.has(outlet.id));
  if (free.length === 0) return [possible(withoutOutlets([noFreeOutlet(prepared, berth, outlets)]))];

  const found = prepared.hookUps.find(free);
  if (found.ways.length === 0) {
    const isRefused = found.none.some(({ level }) => level === 'refuse');
    return [possible(isRefused ? withoutOutlets(found.none) : cautious(prepared, free, found.none))];
  }
  return found.ways.map((like) => ({
    doubt: like.doubt,
    way: once(() => {
      const at = (places: readonly number[]) => places.flatMap((place) => free[place] ?? []);
      return wayFrom(prepared, {
        outlets: at(like.places),
        feeds: like.feeds.map(({ inletId, places }) => ({ inletId, outlets: at(places) })),
        doubt: like.doubt,
        adapters: like.adapters,
        adaptersToBring: like.adaptersToBring,
        inletsA: like.inletsA,
        named: once(() => found.named(like)),
      });
    }),
  }));
}

function possible(way: PowerWay): PossibleWay {
  return { doubt: way.doubt, way: () => way };
}

/** The one way that a person chose: these joints and adapters, from outlets of the berth. */
export function chosenWay(prepared: Prepared, berth: Berth, chosen: HookUp): PowerWay {
  const { hookUp, findings: ofStock } = withOwners(prepared.question, chosen);
  const inReach = berth.reaches.flatMap(({ outletId }) => prepared.question.index.outlets.get(outletId) ?? []);
  const judged = prepared.hookUps.judge(hookUp, inReach);
  const withIds = (ids: readonly (string | null)[]) => inReach.filter(({ id }) => ids.includes(id));
  const { adapters } = hookUp;
  const way = wayFrom(prepared, {
    outlets: withIds(judged.outletIds),
    feeds: judged.inlets.map(({ inletId, legs }) => ({
      inletId,
      outlets: withIds(legs.map(({ outletId }) => outletId)),
    })),
    doubt: doubtOf(judged.findings),
    adapters: adapters.length,
    adaptersToBring: adapters.filter(({ from }) => from === 'toBring').length,
    inletsA: judged.inlets.reduce((sum, inlet) => sum + (configuration(inlet.configurationId)?.ratedA ?? 0), 0),
    named: () => judged,
  });
  const taken = way.outlets.filter(({ id }) => prepared.userOfOutlet.has(id));
  const refusals = taken.length === 0 ? ofStock : [...ofStock, noFreeOutlet(prepared, berth, taken)];
  return { ...way, doubt: addDoubt(way.doubt, doubtOf(refusals)), findings: () => [...way.findings(), ...refusals] };
}

interface Wired extends Pick<PowerWay, 'outlets' | 'feeds' | 'doubt' | 'adapters' | 'adaptersToBring'> {
  readonly inletsA: number;
  readonly named: () => JudgedHookUp;
}

function wayFrom(prepared: Prepared, { inletsA, named, ...wired }: Wired): PowerWay {
  const demand = prepared.admission.judge(
    wired.outlets.map(({ id }) => id),
    toldValue(prepared.question.boat.statedLoadVa),
  );
  return {
    ...wired,
    demand,
    doubt: addDoubt(wired.doubt, doubtOf(demand.findings)),
    outletLeftA: Math.max(0, wired.outlets.reduce((sum, outlet) => sum + ratedA(outlet), 0) - inletsA),
    unbalanceA: prepared.unbalanceA(wired.outlets),
    hookUp: named,
    findings: () => [...named().findings, ...demand.findings],
  };
}

function cautious(prepared: Prepared, free: readonly Outlet[], unknown: readonly Finding[]): PowerWay {
  const [first, ...rest] = free;
  if (first === undefined) return withoutOutlets(unknown);
  const largest = rest.reduce((most, outlet) => (ratedA(outlet) > ratedA(most) ? outlet : most), first);
  // Nobody knows what it will draw either: its rating counts.
  const demand = prepared.admission.judge([largest.id], null);
  const findings = [...unknown, ...demand.findings];
  return {
    ...withoutOutlets(findings),
    outlets: [largest],
    demand,
    unbalanceA: prepared.unbalanceA([largest]),
  };
}

function withoutOutlets(findings: readonly Finding[]): PowerWay {
  return {
    outlets: [],
    feeds: [],
    demand: null,
    doubt: findings.length === 0 ? noDoubt : doubtOf(findings),
    adapters: 0,
    adaptersToBring: 0,
    outletLeftA: 0,
    unbalanceA: 0,
    hookUp: () => null,
    findings: () => findings,
  };
}

function ratedA(outlet: Outlet): number {
  return configuration(outlet.configurationId)?.ratedA ?? 0;
}

function once<T>(make: () => T): () => T {
  let made: T | undefined;
  return () => {
    made ??= make();
    return made;
  };
}

function noFreeOutlet({ userOfOutlet }: Prepared, berth: Berth, outlets: readonly Outlet[]): Finding {
  const base = {
    level: 'refuse',
    subject: { kind: 'berth', id: berth.id, label: berth.label },
    actual: 0,
    limit: 1,
    unit: 'outlet',
    source: 'an outlet is never given twice',
  } as const;
  if (outlets.length === 0) {
    return {
      ...base,
      rule: 'outlet.none',
      message: `Berth ${berth.label} reaches no shore-power outlet.`,
      mend: 'a boat that wants no power, or an outlet within reach',
    };
  }
  const users = outlets.map(({ id, label }) => `${label} by ${userOfOutlet.get(id) ?? 'somebody'}`).join(', ');
  return {
    ...base,
    rule: 'outlet.taken',
    message: `Outlets of berth ${berth.label} are in use for part of the stay: ${users}.`,
    mend: `outlet ${outlets.map(({ label }) => label).join(' or ')} free for the stay`,
  };
}
