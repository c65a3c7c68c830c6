import type { LineName } from '../standards/configuration.ts';
import { supplySystem } from '../standards/supply-systems.ts';
import { named, reportDuplicateIds, reportDuplicateLabels, reportQuantity } from './fault.ts';
import type { Equipment, GroundFault } from './inventory.ts';
import { type Supply, startsSupply } from './supplies.ts';
import type { Validation } from './validation.ts';

const lineNames: readonly LineName[] = ['L1', 'L2', 'L3'];

/** Faults of the distribution tree: circles, systems, lines, limits. */
export function validateEquipment(validation: Validation): void {
  const { inventory, report, supplies } = validation;
  reportDuplicateIds(report, '/equipment', 'equipment', inventory.equipment);
  reportDuplicateLabels(report, '/equipment', 'equipment', inventory.equipment, () => 'this marina');
  const circleFrom = new Map(supplies.circles.map((circle) => [circle[0], circle]));
  inventory.equipment.forEach((part, i) => {
    const at = `/equipment/${i}`;
    const circle = circleFrom.get(part.id);
    if (circle !== undefined && validation.equipment.get(part.id) === part) {
      report(
        `${at}/parentId`,
        'circle',
        `The ${named('equipment', part)} feeds itself: ${[...circle, circle[0]].join(' is fed by ')}. Correct one of these parents.`,
      );
    }
    validateParent(validation, part, at);
    validateSystem(validation, part, at);
    validateLines(validation, part, at);
    validateLimits(validation, part, at);
  });
}

function validateParent({ report, equipment }: Validation, part: Equipment, at: string): void {
  if (part.kind === 'service') {
    if (part.parentId !== null) {
      report(
        `${at}/parentId`,
        'serviceWithParent',
        `The ${named('service', part)} has the parent "${part.parentId}", but a service is fed by the utility. Enter null, or another kind.`,
      );
    }
  } else if (part.parentId === null) {
    report(
      `${at}/parentId`,
      'parentMissing',
      `The ${named(part.kind, part)} has no parent. Only a service stands alone: name the part that feeds it.`,
    );
  }
  if (part.parentId !== null && !equipment.has(part.parentId)) {
    report(
      `${at}/parentId`,
      'unknownReference',
      `The parent "${part.parentId}" of ${named(part.kind, part)} is no equipment of this marina: correct the id or add it.`,
    );
  }
}

function validateSystem({ report, supplies }: Validation, part: Equipment, at: string): void {
  if (part.systemId === null) {
    if (startsSupply(part)) {
      report(
        `${at}/systemId`,
        'systemMissing',
        `The ${named(part.kind, part)} has no supply system, and nothing above it tells one: name its system, such as "208Y/120".`,
      );
    }
    return;
  }
  if (supplySystem(part.systemId) === null) {
    report(
      `${at}/systemId`,
      'unknownReference',
      `The supply system "${part.systemId}" of ${named(part.kind, part)} is not known: use one of the listed systems.`,
    );
    return;
  }
  const supply = supplies.ofEquipment.get(part.id);
  if (!startsSupply(part) && supply && supply.system.id !== part.systemId) {
    report(
      `${at}/systemId`,
      'systemChanged',
      `The ${named(part.kind, part)} states the system "${part.systemId}" under a supply of "${supply.system.id}". Only a service or a transformer starts a system: enter null or correct its parent.`,
    );
  }
}

function validateLines(validation: Validation, part: Equipment, at: string): void {
  const { report, supplies } = validation;
  const offered = offeredTo(validation, part);
  if (part.lines !== null) {
    if (part.lines.length === 0) {
      report(
        `${at}/lines`,
        'noLines',
        `The ${named(part.kind, part)} carries no line at all: list its lines, or enter null for all of its supply.`,
      );
    }
    part.lines.forEach((line, j) => {
      if (part.lines?.indexOf(line) !== j) {
        report(`${at}/lines/${j}`, 'lineTwice', `The ${named(part.kind, part)} lists ${line} twice: remove one.`);
      } else if (offered && !offered.lines.includes(line)) {
        report(
          `${at}/lines/${j}`,
          'lineNotSupplied',
          `The ${named(part.kind, part)} carries ${line}, but what feeds it has ${offered.lines.join(', ')} of ${offered.system.id} only: correct the line or the supply.`,
        );
      }
    });
  }
  const supply = supplies.ofEquipment.get(part.id);
  part.otherLoads.forEach((load, j) => {
    for (const line of lineNames) {
      const loadVa = load.loadVa[line];
      if (loadVa === undefined) continue;
      const pointer = `${at}/otherLoads/${j}/loadVa/${line}`;
      const what = `load "${load.label}" on ${line} of ${named(part.kind, part)}`;
      reportQuantity(report, pointer, what, loadVa, 'VA', 'notNegative');
      if (supply && !supply.lines.includes(line)) {
        report(
          pointer,
          'lineNotSupplied',
          `The ${what} has no line to draw from: it carries ${supply.lines.join(', ') || 'none'}. Move the load to one of these.`,
        );
      }
    }
  });
}

/** The supply from which a part's own `lines` are taken. */
function offeredTo({ supplies }: Validation, part: Equipment): Supply | null {
  if (part.kind !== 'service') return part.parentId === null ? null : (supplies.ofEquipment.get(part.parentId) ?? null);
  const system = part.systemId === null ? null : supplySystem(part.systemId);
  return system && { system, lines: system.lines.map((line) => line.name) };
}

function validateLimits({ report }: Validation, part: Equipment, at: string): void {
  const of = `of ${named(part.kind, part)}`;
  reportQuantity(report, `${at}/breakerA`, `breaker ${of}`, part.breakerA, 'A', 'positive');
  reportQuantity(
    report,
    `${at}/conductorAmpacityA`,
    `conductor ampacity ${of}`,
    part.conductorAmpacityA,
    'A',
    'positive',
  );
  reportQuantity(report, `${at}/neutralAmpacityA`, `neutral ampacity ${of}`, part.neutralAmpacityA, 'A', 'positive');
  reportQuantity(report, `${at}/busA`, `bus rating ${of}`, part.busA, 'A', 'positive');
  if (part.conductor !== null) {
    const { parallelSets, lengthM, size, sizeUnit } = part.conductor;
    if (!Number.isInteger(parallelSets) || parallelSets < 1) {
      report(
        `${at}/conductor/parallelSets`,
        'quantity',
        `The parallel sets (${parallelSets}) ${of} must be a whole number from 1 on: a single conductor is one set.`,
      );
    }
    reportQuantity(report, `${at}/conductor/lengthM`, `conductor length ${of}`, lengthM, 'm', 'notNegative');
    if (sizeUnit === 'mm2') {
      reportQuantity(report, `${at}/conductor/size`, `conductor size ${of}`, Number(size), 'mm2', 'positive');
    }
  }
  if (part.transformer !== null) {
    const { ratedKva, percentR, percentX } = part.transformer;
    reportQuantity(report, `${at}/transformer/ratedKva`, `rating ${of}`, ratedKva, 'kVA', 'positive');
    reportQuantity(report, `${at}/transformer/percentR`, `percent R ${of}`, percentR, '%', 'notNegative');
    reportQuantity(report, `${at}/transformer/percentX`, `percent X ${of}`, percentX, '%', 'notNegative');
  }
  validateGroundFault(report, `${at}/groundFault`, of, part.groundFault);
}

/** Faults of a ground-fault device's figures; `of` names its owner. */
export function validateGroundFault(report: Validation['report'], at: string, of: string, device: GroundFault): void {
  reportQuantity(report, `${at}/settingMa`, `ground-fault setting ${of}`, device.settingMa, 'mA', 'positive');
  reportQuantity(report, `${at}/delayMs`, `ground-fault delay ${of}`, device.delayMs, 'ms', 'notNegative');
}
