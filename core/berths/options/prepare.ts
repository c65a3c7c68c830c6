import { type Admission, prepareAdmission } from '../../electrical/demand/admission.ts';
import { loadModel } from '../../electrical/demand/load-model.ts';
import type { Outlet } from '../../inventory/inventory.ts';
import { configuration } from '../../standards/configurations.ts';
import { type CordRule, cordRule } from '../cord-lengths.ts';
import type { SpaceUse } from '../occupancy.ts';
import { type LowTide, lowestTide } from '../tide.ts';
import { type HookUpSearch, prepareHookUps } from './hook-ups.ts';
import type { OptionsQuestion } from './options.ts';

/** A question with everything that is the same for all berths, worked out once. */
export interface Prepared {
  readonly question: OptionsQuestion;
  readonly lowTide: LowTide;
  readonly usesOfUnit: ReadonlyMap<string, readonly SpaceUse[]>;
  /** Who has an outlet at some moment of the stay, by outlet. */
  readonly userOfOutlet: ReadonlyMap<string, string>;
  readonly admission: Admission;
  readonly hookUps: HookUpSearch;
  readonly cordRuleOf: (outlet: Outlet) => CordRule;
  /** Spread of line loads on the feeder of these outlets with them in use, A. */
  readonly unbalanceA: (outlets: readonly Outlet[]) => number;
}

export function prepare(question: OptionsQuestion): Prepared {
  const { index, period, occupiedUntil, spaceUses, outletUses } = question;
  const { settings } = index.inventory;
  const userOfOutlet = new Map<string, string>();
  for (const use of outletUses) {
    if (use.from < occupiedUntil && period.from < use.until) userOfOutlet.set(use.outletId, use.by.label);
  }
  const rules = new Map<string, CordRule>();
  return {
    question,
    lowTide: lowestTide(question.localDays, settings),
    usesOfUnit: byUnit(spaceUses, period.from, occupiedUntil),
    userOfOutlet,
    admission: prepareAdmission(index, question.practice, outletUses, { from: period.from, until: occupiedUntil }),
    hookUps: prepareHookUps(question),
    cordRuleOf: (outlet) => {
      const family = configuration(outlet.configurationId)?.family ?? 'marina';
      const rule = rules.get(family) ?? cordRule(family, settings);
      rules.set(family, rule);
      return rule;
    },
    unbalanceA: unbalance(question),
  };
}

function byUnit(uses: readonly SpaceUse[], from: number, until: number): Map<string, SpaceUse[]> {
  const units = new Map<string, SpaceUse[]>();
  for (const use of uses) {
    if (use.from >= until || from >= use.until) continue;
    const ofUnit = units.get(use.unitId);
    if (ofUnit === undefined) units.set(use.unitId, [use]);
    else ofUnit.push(use);
  }
  return units;
}

/** Rated amperes by line and feeder, all of the period's uses taken together: for ranking, never for a limit. */
function unbalance({ index, outletUses }: OptionsQuestion): Prepared['unbalanceA'] {
  const model = loadModel(index);
  const used = new Map<string, [number, number, number]>();
  const add = (sums: [number, number, number], outlet: Outlet) => {
    const lineA = model.outletLoad(outlet).rating?.lineA ?? {};
    sums[0] += lineA.L1 ?? 0;
    sums[1] += lineA.L2 ?? 0;
    sums[2] += lineA.L3 ?? 0;
  };
  for (const { outletId, by } of outletUses) {
    const outlet = index.outlets.get(outletId);
    const feeder = index.pathOfOutlet.get(outletId)?.[0];
    if (outlet === undefined || feeder === undefined || by.kind === 'outOfService') continue;
    const sums = used.get(feeder.id) ?? [0, 0, 0];
    used.set(feeder.id, sums);
    add(sums, outlet);
  }
  return (outlets) => {
    let worstA = 0;
    for (const feeder of new Set(outlets.map((outlet) => index.pathOfOutlet.get(outlet.id)?.[0]))) {
      if (feeder === undefined) continue;
      const sums: [number, number, number] = [...(used.get(feeder.id) ?? [0, 0, 0])];
      for (const outlet of outlets) if (index.pathOfOutlet.get(outlet.id)?.[0] === feeder) add(sums, outlet);
      const lines =
        (feeder.kind === 'transformer' ? null : feeder.lines) ??
        index.systemOfEquipment.get(feeder.id)?.lines.map(({ name }) => name) ??
        [];
      const carried = lines.map((name) => sums[name === 'L1' ? 0 : name === 'L2' ? 1 : 2]);
      if (carried.length > 1) worstA = Math.max(worstA, Math.max(...carried) - Math.min(...carried));
    }
    return worstA;
  };
}
