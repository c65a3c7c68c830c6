import type { Boat } from '../../../../core/boats.ts';
import type { CheckInFacts } from '../../../../core/check-in/check-in.ts';
import type { SupplyOutlet } from '../../../../core/electrical/hook-up/supply-outlet.ts';
import type { Finding } from '../../../../core/findings.ts';
import type { AdapterKind } from '../../../../core/standards/adapter-kind.ts';
import { adapterKinds } from '../../../../core/standards/adapter-kinds.ts';
import { supplySystem } from '../../../../core/standards/supply-systems.ts';
import type { ShiftDocument, ShiftStay } from '../../../check-ins/shift-document.ts';

/** What the phone knows of a stay, as core judges it. */
export function factsOf(shift: ShiftDocument, stay: ShiftStay): CheckInFacts {
  const { place } = stay;
  return {
    boat: boatOf(stay),
    outlets: outletsOf(shift, stay),
    adapterKinds: kindsOf(shift),
    refuseCordBelowBreaker: shift.refuseCordBelowBreaker,
    mandatory: shift.settings.mandatoryReadings,
    keptOutletIds: place?.keptOutletIds ?? [],
    // The desk's rules are core's own.
    deskFindings: (place?.deskFindings ?? []) as readonly Finding[],
    holdsUntil: Date.parse(shift.holdsUntil),
  };
}

export function kindsOf(shift: ShiftDocument): ReadonlyMap<string, AdapterKind> {
  return new Map([...adapterKinds, ...shift.adapterKinds].map((kind) => [kind.id, kind]));
}

/** The outlets in reach of the stay's berth, those kept for it first. */
export function outletsOf(shift: ShiftDocument, { place }: ShiftStay): (SupplyOutlet & { systemId: string | null })[] {
  const ids = new Set([...(place?.keptOutletIds ?? []), ...(place?.outletIds ?? [])]);
  const known = new Map(shift.outlets.map((outlet) => [outlet.id, outlet]));
  return [...ids].flatMap((id) => {
    const outlet = known.get(id);
    if (outlet === undefined) return [];
    return [{ ...outlet, system: outlet.systemId === null ? null : supplySystem(outlet.systemId) }];
  });
}

/** Facts as the API words them, with their times as core counts them. */
export function boatOf({ boat }: ShiftStay): Boat {
  // The service checked its own answer; only the times differ from core's form.
  return timed(boat) as Boat;
}

function timed(value: unknown): unknown {
  if (Array.isArray(value)) return value.map(timed);
  if (typeof value !== 'object' || value === null) return value;
  if ('origin' in value && 'at' in value && typeof value.at === 'string') {
    return { ...value, at: Date.parse(value.at) };
  }
  return Object.fromEntries(Object.entries(value).map(([name, part]) => [name, timed(part)]));
}
