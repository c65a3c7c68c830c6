import {
  checkEach,
  equipmentSubject,
  type InventoryCheck,
  missing,
  outletSubject,
} from '../../../inventory/checks/check.ts';
import type { GroundFault } from '../../../inventory/inventory.ts';
import { citation } from '../../../standards/source.ts';
import type { Edition } from './editions.ts';
import { isCovered, isShorePower, ownSupplyPath, shorePowerOutlets } from './scope.ts';

export function groundFaultRules(edition: Edition): InventoryCheck[] {
  const { outletMa } = edition.groundFault;
  return outletMa === null
    ? [supplyProtection(edition)]
    : [outletProtection(edition, outletMa), feederProtection(edition)];
}

/** 2020 on: a device of its own at each receptacle. */
function outletProtection({ groundFault }: Edition, limitMa: number): InventoryCheck {
  return checkEach(
    'review.outletGroundFault',
    `shore-power receptacles without a ground-fault device of at most ${limitMa} mA`,
    citation(groundFault.source),
    shorePowerOutlets,
    (outlet, index) => {
      const subject = outletSubject(outlet, index);
      const { device, settingMa } = outlet.groundFault;
      const verdict = verdictOn([outlet.groundFault], limitMa);
      if (verdict === 'protected') return null;
      if (verdict === 'unknown') {
        return missing(
          subject,
          device === 'unknown' ? 'groundFault.device' : 'groundFault.settingMa',
          `What does the ground-fault device of outlet ${subject.label} say, in mA?`,
          `Not assessed: the ground-fault device of outlet ${subject.label} or its setting is unknown.`,
        );
      }
      return {
        level: 'caution',
        subject,
        actual: device === 'none' ? 'none' : settingMa,
        limit: limitMa,
        unit: 'mA',
        message: `Outlet ${subject.label} has ${device === 'none' ? 'no ground-fault device' : `a ground-fault device of ${settingMa} mA`}; wanted is one of at most ${limitMa} mA.`,
      };
    },
  );
}

/** 2020 on: feeders, by a device of their own or one above them on the same supply. */
function feederProtection({ groundFault }: Edition): InventoryCheck {
  const limitMa = groundFault.supplyMa;
  return checkEach(
    'review.feederGroundFault',
    `feeders of shore power without ground-fault protection of at most ${limitMa} mA`,
    citation(groundFault.source),
    (index) =>
      index.inventory.equipment.filter(
        (part) =>
          part.kind === 'feeder' &&
          (index.outletsBelow.get(part.id) ?? []).some((outlet) => isShorePower(outlet) && isCovered(outlet, index)),
      ),
    (feeder, index) => {
      const below = index.outletsBelow.get(feeder.id)?.[0];
      const path = below === undefined ? [feeder] : (index.pathOfOutlet.get(below.id) ?? [feeder]);
      const upward = ownSupplyPath(path.slice(path.indexOf(feeder)));
      const verdict = verdictOn(
        upward.map((part) => part.groundFault),
        limitMa,
      );
      if (verdict === 'protected') return null;
      const subject = equipmentSubject(feeder);
      if (verdict === 'unknown') {
        return missing(
          subject,
          'groundFault.device',
          `Have ${feeder.label} or what feeds it a ground-fault device, and what is it set to, in mA?`,
          `Not assessed: no ground-fault device of at most ${limitMa} mA is known for ${feeder.label}, and one is unknown.`,
        );
      }
      return {
        level: 'caution',
        subject,
        actual: feeder.groundFault.settingMa ?? 'none',
        limit: limitMa,
        unit: 'mA',
        message: `${feeder.label} has no ground-fault protection of at most ${limitMa} mA, of its own or above it.`,
      };
    },
  );
}

/** Before 2020: one device of the setting anywhere between the source of the supply and the receptacle. */
function supplyProtection({ groundFault }: Edition): InventoryCheck {
  const limitMa = groundFault.supplyMa;
  return checkEach(
    'review.supplyGroundFault',
    `shore-power receptacles that no ground-fault device of at most ${limitMa} mA protects`,
    citation(groundFault.source),
    shorePowerOutlets,
    (outlet, index) => {
      const above = ownSupplyPath(index.pathOfOutlet.get(outlet.id) ?? []);
      const verdict = verdictOn([outlet.groundFault, ...above.map((part) => part.groundFault)], limitMa);
      if (verdict === 'protected') return null;
      const subject = outletSubject(outlet, index);
      if (verdict === 'unknown') {
        return missing(
          subject,
          'groundFault.device',
          `Which ground-fault devices lie between the source and outlet ${subject.label}, and what are they set to, in mA?`,
          `Not assessed: no ground-fault device of at most ${limitMa} mA is known for outlet ${subject.label}, and one is unknown.`,
        );
      }
      return {
        level: 'caution',
        subject,
        actual: 'none',
        limit: limitMa,
        unit: 'mA',
        message: `No ground-fault device of at most ${limitMa} mA protects outlet ${subject.label}, its own or above it.`,
      };
    },
  );
}

function verdictOn(devices: readonly GroundFault[], limitMa: number): 'protected' | 'unknown' | 'unprotected' {
  const isProtecting = ({ device, settingMa }: GroundFault) =>
    device === 'fitted' && settingMa !== null && settingMa <= limitMa;
  if (devices.some(isProtecting)) return 'protected';
  const isUnknown = ({ device, settingMa }: GroundFault) =>
    device === 'unknown' || (device === 'fitted' && settingMa === null);
  return devices.some(isUnknown) ? 'unknown' : 'unprotected';
}
