import { statedVaOf } from '../../electrical/boat-load/load-of-boat.ts';
import { prepareAdmission } from '../../electrical/demand/admission.ts';
import { loadModel } from '../../electrical/demand/load-model.ts';
import { outletBudgets } from '../../electrical/leakage/outlet-budgets.ts';
import { prepareVolts } from '../../electrical/network/boat-volts.ts';
import { configuration } from '../../standards/configurations.ts';
import { type CordRule, cordRule } from '../cord-lengths.ts';
import type { SpaceUse, UsedBy } from '../occupancy.ts';
import { lowestTide } from '../tide.ts';
import { prepareBoatDemand } from './demand-figures.ts';
import { prepareHookUps } from './hook-ups.ts';
import { once } from './once.ts';
import type { OptionsQuestion } from './options.ts';
import { overdueAtOutlets } from './overdue.ts';
import { prepareWays, withoutPower } from './power-ways.ts';
import type { Prepared } from './prepared.ts';
import { berthFacts } from './reached-outlets.ts';
import { prepareRoomFit } from './room-fit.ts';
import { prepareUnbalance } from './unbalance.ts';

export function prepare(question: OptionsQuestion): Prepared {
  const { index, boat, period, occupiedUntil, spaceUses, outletUses } = question;
  const { settings } = index.inventory;
  const kept = { from: period.from, until: occupiedUntil };
  const userOfOutlet = new Map<string, UsedBy>();
  const overdueOfOutlet = new Map<string, UsedBy>();
  const isTaken = new Uint8Array(index.inventory.outlets.length);
  const { ordinals } = loadModel(index);
  for (const use of outletUses) {
    if (use.from >= occupiedUntil || period.from >= use.until) continue;
    if (use.by.overdue?.mayBeGone === true) {
      overdueOfOutlet.set(use.outletId, use.by);
      continue;
    }
    userOfOutlet.set(use.outletId, use.by);
    const ordinal = ordinals.get(use.outletId);
    if (ordinal !== undefined) isTaken[ordinal] = 1;
  }
  const lowTide = lowestTide(question.localDays, settings);
  const admission = prepareAdmission(index, question.practice, outletUses, kept, question.sayTime);
  const unbalanceA = prepareUnbalance(index, outletUses);
  const othersUses = outletUses.filter((use) => use.from < occupiedUntil && period.from < use.until);
  const volts = once(() => prepareVolts(index, question.practice, othersUses));
  const demand = prepareBoatDemand(admission, unbalanceA, volts, statedVaOf(boat));
  const hookUps = prepareHookUps(question);
  const budgets = once(() => outletBudgets(index, outletUses));
  const rules = new Map<string, CordRule>();
  return {
    question,
    lowTide,
    factsOf: (berth) => berthFacts(index, berth),
    fitOf: prepareRoomFit(boat, lowTide, settings),
    usesOfUnit: byUnit(spaceUses, period.from, occupiedUntil),
    userOfOutlet,
    isTaken,
    overdueAt: overdueAtOutlets(question.sayTime, overdueOfOutlet),
    demand,
    hookUps,
    leakageLeftMa: (outlets) => {
      let leastMa = outlets.length === 0 ? 0 : Number.POSITIVE_INFINITY;
      for (const { outlet } of outlets) leastMa = Math.min(leastMa, budgets()(outlet.id));
      return leastMa;
    },
    // While its inlets are unknown the outlets' ratings count, whatever the boat says it draws.
    waysOf: prepareWays(boat, demand, prepareBoatDemand(admission, unbalanceA, volts, null)),
    withoutPower: once(() => withoutPower(demand, hookUps)),
    cordRuleOf: (outlet) => {
      const family = configuration(outlet.configurationId)?.family ?? 'marina';
      const rule = rules.get(family) ?? cordRule(family, settings);
      rules.set(family, rule);
      return rule;
    },
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
