import type { Season } from '../../electrical/boat-load/boat-load.ts';
import { classDefaultAppliances } from '../../electrical/boat-load/class-defaults.ts';
import { lineAmperes, lineNames, type Phasors } from '../../electrical/demand/channels.ts';
import { loadModel } from '../../electrical/demand/load-model.ts';
import type { InventoryIndex } from '../../inventory/index-inventory.ts';
import type { Equipment } from '../../inventory/inventory.ts';
import type { LineName } from '../../standards/configuration.ts';
import { dutyCycleOf, dutyCycleSource, type PartOfDay } from './duty-cycles.ts';
import type { LineLimit, RandomLoad } from './random-load.ts';

/** A boat on its outlets with what it has aboard; null appliances: those assumed for its length. */
export interface BoatOnOutlets {
  /** At least one; what is aboard is spread over them evenly. */
  readonly outletIds: readonly string[];
  readonly boatLabel: string;
  readonly lengthM: number | null;
  readonly airConditioning: boolean | null;
  readonly appliances: readonly KnownAppliance[] | null;
}

export interface KnownAppliance {
  readonly name: string;
  readonly loadVa: number;
  /** Null: by the table of duty cycles. */
  readonly chance: number | null;
}

export interface LoadsOnPart {
  readonly lines: readonly LineName[];
  readonly loads: readonly RandomLoad[];
  readonly limits: readonly LineLimit[];
  /** Limits of the part that this says nothing of: not stated, or not of one line. */
  readonly notAssessed: readonly string[];
  /** What was taken for granted, in words. */
  readonly assumptions: readonly string[];
  /** Outlets whose load on this part is unknown: the chances are then at least what is shown. */
  readonly unknownOutletIds: readonly string[];
}

/**
 * The appliances of the boats below one part as random loads on its lines. A load is spread over the outlet's lines as
 * its rating is. What the table of duty cycles does not know counts as always on.
 * @throws Error when the equipment or an outlet is not in the inventory.
 */
export function loadsOnPart(
  index: InventoryIndex,
  equipmentId: string,
  boats: readonly BoatOnOutlets[],
  season: Season,
  at: PartOfDay,
): LoadsOnPart {
  const part = index.equipment.get(equipmentId);
  if (part === undefined) throw new Error(`no equipment "${equipmentId}" in the inventory`);
  const model = loadModel(index);
  const phasors = model.phasors(part);
  const groups = new Map<string, { load: RandomLoad; count: number }>();
  const assumptions = new Set<string>();
  const unknownOutletIds: string[] = [];
  for (const boat of boats) {
    const perVa = new Map<LineName, number>();
    let unknown = false;
    let isBelow = false;
    for (const outletId of boat.outletIds) {
      const outlet = index.outlets.get(outletId);
      if (outlet === undefined) throw new Error(`no outlet "${outletId}" in the inventory`);
      const { path, loads, rating } = model.outletLoad(outlet);
      const place = path.findIndex(({ id }) => id === equipmentId);
      if (place < 0) continue;
      isBelow = true;
      const full = loads[place];
      if (rating === null || full === undefined || phasors === null) {
        unknownOutletIds.push(outlet.id);
        unknown = true;
        continue;
      }
      for (const line of phasors.lines) {
        const name = lineNames[line] ?? 'L1';
        const each = lineAmperes(phasors, full, line) / rating.leastVa / boat.outletIds.length;
        perVa.set(name, (perVa.get(name) ?? 0) + each);
      }
    }
    if (!isBelow || (unknown && perVa.size === 0)) continue;
    if (boat.outletIds.length > 1)
      assumptions.add('What is aboard a boat on several outlets is spread over them evenly.');
    for (const { name, loadVa, chance } of appliancesOf(boat, season, assumptions)) {
      const cycle = chance === null ? dutyCycleOf(name, season, at) : { name, chance };
      if (cycle === null) assumptions.add(`"${name}" is not in the table of duty cycles and counts as always on.`);
      else if (chance === null) assumptions.add(`Duty cycle of "${cycle.name}": ${cycle.chance} (${dutyCycleSource}).`);
      const lineA = Object.fromEntries([...perVa].flatMap(([line, each]) => (each > 0 ? [[line, loadVa * each]] : [])));
      const load = { label: name, count: 1, chance: cycle?.chance ?? 1, lineA };
      const key = JSON.stringify([load.label, load.chance, lineA]);
      const group = groups.get(key);
      if (group === undefined) groups.set(key, { load, count: 1 });
      else group.count++;
    }
  }
  for (const { name, amperes } of otherLoads(part, index)) {
    if (amperes > 0)
      groups.set(`other ${name}`, {
        load: { label: 'other loads', count: 1, chance: 1, lineA: { [name]: amperes } },
        count: 1,
      });
  }
  assumptions.add(
    'Appliances are on or off independently of each other: the duty cycles are those of the chosen hour, which is why it must be the worst hour of the season.',
  );
  if ((phasors?.lines.length ?? 0) > 2)
    assumptions.add('Amperes of different loads are added without their angles, which is never too little.');
  const { limits, notAssessed } = lineLimits(part, phasors);
  return {
    lines: (phasors?.lines ?? []).map((line) => lineNames[line] ?? 'L1'),
    loads: [...groups.values()].map(({ load, count }) => ({ ...load, count })),
    limits,
    notAssessed,
    assumptions: [...assumptions],
    unknownOutletIds,
  };
}

function appliancesOf(boat: BoatOnOutlets, season: Season, assumptions: Set<string>): readonly KnownAppliance[] {
  if (boat.appliances !== null) return boat.appliances;
  assumptions.add('What is aboard boats that state no appliances is assumed by their length.');
  const off = season === 'summer' ? 'heating' : season === 'winter' ? 'cooling' : null;
  return classDefaultAppliances(boat.lengthM, boat.airConditioning)
    .filter(({ use }) => use !== off)
    .map(({ name, loadVa }) => ({ name, loadVa: loadVa ?? 0, chance: null }));
}

function otherLoads(part: Equipment, index: InventoryIndex): { name: LineName; amperes: number }[] {
  const model = loadModel(index);
  const phasors = model.phasors(part);
  if (phasors === null) return [];
  const load = model.otherLoad(part);
  return phasors.lines.map((line) => ({ name: lineNames[line] ?? 'L1', amperes: lineAmperes(phasors, load, line) }));
}

/**
 * The limits that hold for each line alike. A transformer's winding carries its line's amperes at line-to-neutral volts, so
 * its share of the rating is a limit of the line; a high-leg bank's windings carry those of several lines.
 */
function lineLimits(part: Equipment, phasors: Phasors | null): Pick<LoadsOnPart, 'limits' | 'notAssessed'> {
  const stated: { kind: string; limitA: number | null }[] = [
    { kind: 'breaker', limitA: part.breakerA },
    { kind: 'conductor', limitA: part.conductorAmpacityA },
    { kind: 'bus', limitA: part.busA },
  ];
  const notAssessed: string[] = [];
  if (part.transformer !== null) {
    const { ratedKva, connection } = part.transformer;
    const [first = 0] = phasors?.lines ?? [];
    const volts = phasors?.channelV[first] ?? 0;
    if (connection === 'highLegBank' || phasors === null || volts === 0) notAssessed.push('winding');
    else
      stated.push({
        kind: 'winding',
        limitA: ratedKva === null ? null : (1000 * ratedKva) / phasors.lines.length / volts,
      });
  }
  if (phasors?.system.hasNeutral ?? false) notAssessed.push('neutral');
  return {
    limits: stated.flatMap(({ kind, limitA }) => (limitA === null ? [] : [{ kind, limitA }])),
    notAssessed: [...stated.filter(({ limitA }) => limitA === null).map(({ kind }) => kind), ...notAssessed],
  };
}
