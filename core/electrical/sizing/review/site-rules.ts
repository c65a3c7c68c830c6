import type { Finding, Subject } from '../../../findings.ts';
import {
  checkEach,
  equipmentSubject,
  type InventoryCheck,
  missing,
  pedestalSubject,
} from '../../../inventory/checks/check.ts';
import type { InventoryIndex } from '../../../inventory/index-inventory.ts';
import { startsSupply } from '../../../inventory/supplies.ts';
import { citation } from '../../../standards/source.ts';
import type { SupplySystem } from '../../../standards/supply-system.ts';
import { phasorsOf } from '../../demand/channels.ts';
import type { Edition } from './editions.ts';
import { isCovered, shorePowerOutlets } from './scope.ts';

export function siteRules(edition: Edition): InventoryCheck[] {
  const { leakageMeasurement, distribution } = edition;
  return [
    disconnect(edition),
    ...(leakageMeasurement === null ? [] : [leakageDevice(leakageMeasurement)]),
    ...(distribution === null ? [] : [distributionVolts(distribution)]),
    notCovered(edition),
  ];
}

/** The inventory does not say where disconnects are: every pedestal with shore power is asked about. */
function disconnect({ disconnect: source }: Edition): InventoryCheck {
  return checkEach(
    'review.disconnect',
    'pedestals whose means of disconnection nobody has stated',
    citation(source),
    (index) => {
      const used = new Set(shorePowerOutlets(index).map(({ pedestalId }) => pedestalId));
      return index.inventory.pedestals.filter(({ id }) => used.has(id));
    },
    (pedestal) => {
      const subject = pedestalSubject(pedestal);
      return missing(
        subject,
        'disconnect',
        `Can each outlet of pedestal ${pedestal.label} be switched off in sight of it, within 30 in (0.76 m)?`,
        `Not assessed: the inventory does not say whether each outlet of pedestal ${pedestal.label} has a disconnect in sight.`,
      );
    },
  );
}

function leakageDevice({ moreThan, source }: NonNullable<Edition['leakageMeasurement']>): InventoryCheck {
  return {
    name: 'review.leakageMeasurement',
    looksFor: `a leakage-measurement device where more than ${moreThan} receptacles supply shore power`,
    check: (index): Finding[] => {
      const count = shorePowerOutlets(index).length;
      if (count <= moreThan) return [];
      const subject = marinaSubject(index);
      const question = 'Has the marina a device to measure the leakage current of a boat?';
      return [
        {
          rule: 'review.leakageMeasurement',
          level: 'confirm',
          subject,
          actual: count,
          limit: moreThan,
          unit: null,
          source: citation(source),
          message: `Not assessed: ${count} receptacles supply shore power, more than ${moreThan}, so a leakage-measurement device is wanted, and the inventory does not say whether there is one.`,
          missingFact: { subject, fact: 'leakageMeasurementDevice', question },
        },
      ];
    },
  };
}

function distributionVolts({ mostV, source }: NonNullable<Edition['distribution']>): InventoryCheck {
  return checkEach(
    'review.distributionVolts',
    `supplies of pedestals above ${mostV} V between lines`,
    citation(source),
    (index) => {
      const feeding = new Set(
        index.inventory.outlets.map(({ id }) => index.pathOfOutlet.get(id)?.find(startsSupply)?.id ?? ''),
      );
      return index.inventory.equipment.filter(
        ({ id }) => feeding.has(id) && index.systemOfEquipment.get(id)?.frequencyHz !== 50,
      );
    },
    (part, index) => {
      const subject = equipmentSubject(part);
      const system = index.systemOfEquipment.get(part.id) ?? null;
      if (system === null) {
        return missing(
          subject,
          'systemId',
          `Which volts, and how many lines, does ${part.label} supply?`,
          `Not assessed: the supply system of ${part.label} is unknown.`,
        );
      }
      const actualV = mostLineToLineV(system);
      if (actualV <= mostV) return null;
      return {
        level: 'caution',
        subject,
        actual: actualV,
        limit: mostV,
        unit: 'V',
        message: `${part.label} supplies pedestals with ${actualV} V between lines, above ${mostV} V. Ask an electrician which wording of the clause applies here.`,
      };
    },
  );
}

function mostLineToLineV(system: SupplySystem): number {
  const { channelV } = phasorsOf(system);
  return Math.round(Math.max(...Array.from(channelV).slice(3)));
}

function notCovered({ name }: Edition): InventoryCheck {
  return {
    name: 'review.notCovered',
    looksFor: 'outlets on 50 Hz supplies, of which the code does not speak',
    check: (index): Finding[] => {
      const count = index.inventory.outlets.filter((outlet) => !isCovered(outlet, index)).length;
      if (count === 0) return [];
      const subject = marinaSubject(index);
      const question = 'Which national rules apply to the 50 Hz outlets (IEC 60364-7-709)?';
      return [
        {
          rule: 'review.notCovered',
          level: 'confirm',
          subject,
          actual: count,
          limit: 0,
          unit: null,
          source: name,
          message: `Not assessed: ${count} outlets are on 50 Hz supplies, and ${name} is not written for them. Have them reviewed against the national rules.`,
          missingFact: { subject, fact: 'edition', question },
        },
      ];
    },
  };
}

function marinaSubject({ inventory }: InventoryIndex): Subject {
  return { kind: 'marina', id: 'marina', label: inventory.name };
}
