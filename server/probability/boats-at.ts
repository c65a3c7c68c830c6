import type { OutletUse } from '../../core/berths/occupancy.ts';
import { toldValue } from '../../core/berths/told-value.ts';
import type { Boat } from '../../core/boats.ts';
import type { Season } from '../../core/electrical/boat-load/boat-load.ts';
import type { InventoryIndex } from '../../core/inventory/index-inventory.ts';
import type { BoatOnOutlets } from '../../core/upgrades/probability/loads-on-part.ts';
import { boatOf } from '../boats/stored-boat.ts';
import type { Tx } from '../db/client.ts';
import { loadPresent } from '../occupancy/overstays.ts';

/** Who is plugged in at a moment, residents included, each with what it said is aboard that runs in the season. */
export async function boatsAt(
  db: Tx,
  marinaId: string,
  index: InventoryIndex,
  { at, now, season }: { readonly at: number; readonly now: number; readonly season: Season },
): Promise<BoatOnOutlets[]> {
  const { outletUses } = await loadPresent(db, marinaId, index, { now, period: { from: at, until: at + 1 } });
  const outletsOf = new Map<string, { readonly by: OutletUse['by']; readonly ids: string[] }>();
  for (const { by, outletId } of outletUses) {
    if (by.kind === 'outOfService') continue;
    const key = `${by.kind} ${by.id}`;
    const known = outletsOf.get(key);
    if (known === undefined) outletsOf.set(key, { by, ids: [outletId] });
    else known.ids.push(outletId);
  }
  const users = [...outletsOf.values()];
  const ids = (kind: OutletUse['by']['kind']) => users.flatMap(({ by }) => (by.kind === kind ? [by.id] : []));
  const assignments = await db.assignment.findMany({
    where: { marinaId, id: { in: ids('assignment') } },
    select: { id: true, stay: { select: { boat: true } } },
  });
  const holdings = await db.holding.findMany({
    where: { marinaId, id: { in: ids('holding') } },
    select: { id: true, boatId: true },
  });
  const residents = await db.boat.findMany({
    where: { marinaId, id: { in: holdings.flatMap(({ boatId }) => boatId ?? []) } },
  });
  const residentOf = new Map(residents.map((row) => [row.id, boatOf(row)]));
  const boatBy = new Map<string, Boat | null>([
    ...assignments.map(({ id, stay }) => [`assignment ${id}`, boatOf(stay.boat)] as const),
    ...holdings.map(({ id, boatId }) => [`holding ${id}`, residentOf.get(boatId ?? '') ?? null] as const),
  ]);
  return users.map(({ by, ids: outletIds }) => {
    const boat = boatBy.get(`${by.kind} ${by.id}`) ?? null;
    return {
      outletIds,
      boatLabel: by.label,
      lengthM: boat === null ? null : toldValue(boat.lengthOverallM),
      airConditioning: boat === null ? null : toldValue(boat.airConditioning),
      appliances: boat === null ? null : appliancesOf(boat, season),
    };
  });
}

function appliancesOf(boat: Boat, season: Season): BoatOnOutlets['appliances'] {
  const off = season === 'summer' ? 'heating' : season === 'winter' ? 'cooling' : null;
  const told = toldValue(boat.appliances);
  if (told === null) return null;
  return told.filter(({ use = 'always' }) => use !== off).map(({ name, loadVa }) => ({ name, loadVa, chance: null }));
}
