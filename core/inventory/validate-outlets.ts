import type { Configuration } from '../standards/configuration.ts';
import { configuration } from '../standards/configurations.ts';
import { named, reportDuplicateIds, reportDuplicateLabels, reportQuantity } from './fault.ts';
import type { Outlet } from './inventory.ts';
import { validateGroundFault } from './validate-equipment.ts';
import type { Validation } from './validation.ts';

export function validatePedestals({ inventory, report, docks, equipment }: Validation): void {
  reportDuplicateIds(report, '/pedestals', 'pedestal', inventory.pedestals);
  reportDuplicateLabels(report, '/pedestals', 'pedestal', inventory.pedestals, ({ dockId }) => `dock "${dockId}"`);
  inventory.pedestals.forEach((pedestal, i) => {
    const at = `/pedestals/${i}`;
    if (!docks.has(pedestal.dockId)) {
      report(
        `${at}/dockId`,
        'unknownReference',
        `The dock "${pedestal.dockId}" of ${named('pedestal', pedestal)} is no dock of this marina: correct the id or add it.`,
      );
    }
    if (!equipment.has(pedestal.fedById)) {
      report(
        `${at}/fedById`,
        'unknownReference',
        `The ${named('pedestal', pedestal)} is fed by "${pedestal.fedById}", which is no equipment of this marina: correct the id or add it.`,
      );
    }
    const what = `distance from shore of ${named('pedestal', pedestal)}`;
    reportQuantity(report, `${at}/alongDockM`, what, pedestal.alongDockM, 'm', 'notNegative');
  });
}

export function validateOutlets(validation: Validation): void {
  const { inventory, report, pedestals, equipment, berthIds } = validation;
  reportDuplicateIds(report, '/outlets', 'outlet', inventory.outlets);
  reportDuplicateLabels(
    report,
    '/outlets',
    'outlet',
    inventory.outlets,
    ({ pedestalId }) => `pedestal "${pedestalId}"`,
  );
  inventory.outlets.forEach((outlet, i) => {
    const at = `/outlets/${i}`;
    const name = named('outlet', outlet);
    if (!pedestals.has(outlet.pedestalId)) {
      report(
        `${at}/pedestalId`,
        'unknownReference',
        `The pedestal "${outlet.pedestalId}" of ${name} is no pedestal of this marina: correct the id or add it.`,
      );
    }
    if (outlet.fedById !== null && !equipment.has(outlet.fedById)) {
      report(
        `${at}/fedById`,
        'unknownReference',
        `The ${name} is fed by "${outlet.fedById}", which is no equipment of this marina: correct the id or enter null for the pedestal's.`,
      );
    }
    if (outlet.dedicatedBerthId !== null && !berthIds.has(outlet.dedicatedBerthId)) {
      report(
        `${at}/dedicatedBerthId`,
        'unknownReference',
        `The ${name} is dedicated to "${outlet.dedicatedBerthId}", which is no berth of this marina: correct the id or enter null.`,
      );
    }
    const pattern = configuration(outlet.configurationId);
    if (pattern === null) {
      report(
        `${at}/configurationId`,
        'unknownReference',
        `The configuration "${outlet.configurationId}" of ${name} is not known: use one of the listed configurations.`,
      );
    }
    validateLines(validation, outlet, pattern, at);
    reportQuantity(report, `${at}/breakerA`, `breaker of ${name}`, outlet.breakerA, 'A', 'positive');
    reportQuantity(report, `${at}/heightM`, `height above deck of ${name}`, outlet.heightM, 'm', 'notNegative');
    validateGroundFault(report, `${at}/groundFault`, `of ${name}`, outlet.groundFault);
  });
}

function validateLines(validation: Validation, outlet: Outlet, pattern: Configuration | null, at: string): void {
  const { report, pedestals, supplies } = validation;
  const { lines } = outlet;
  if (lines === null) return;
  const name = named('outlet', outlet);
  const contacts = pattern?.terminals.filter((terminal) => terminal !== 'N' && terminal !== 'G').length;
  if (contacts !== undefined && lines.length !== contacts) {
    report(
      `${at}/lines`,
      'lineCount',
      `The ${name} lists ${lines.length} lines, but ${outlet.configurationId} has ${contacts} line contacts: list one line a contact, or enter null where they are unknown.`,
    );
  }
  const fedById = outlet.fedById ?? pedestals.get(outlet.pedestalId)?.fedById;
  const supply = fedById === undefined ? null : (supplies.ofEquipment.get(fedById) ?? null);
  lines.forEach((line, j) => {
    if (lines.indexOf(line) !== j) {
      report(
        `${at}/lines/${j}`,
        'lineTwice',
        `The ${name} has ${line} on two contacts, which would give no volts between them: list different lines.`,
      );
    } else if (supply && !supply.lines.includes(line)) {
      report(
        `${at}/lines/${j}`,
        'lineNotSupplied',
        `The ${name} is on ${line}, but its feed "${fedById}" carries ${supply.lines.join(', ') || 'none'} of ${supply.system.id} only: correct the line or the feed.`,
      );
    }
  });
}
