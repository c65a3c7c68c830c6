import { named, reportDuplicateIds, reportDuplicateLabels, reportQuantity } from './fault.ts';
import type { Berth, SpaceUnit } from './inventory.ts';
import type { Validation } from './validation.ts';

export function validateSpaceUnits({ inventory, report, docks }: Validation): void {
  reportDuplicateIds(report, '/spaceUnits', 'space unit', inventory.spaceUnits);
  reportDuplicateLabels(report, '/spaceUnits', 'space unit', inventory.spaceUnits, ({ dockId }) => `dock "${dockId}"`);
  inventory.spaceUnits.forEach((unit, i) => {
    const at = `/spaceUnits/${i}`;
    const name = named(unit.kind, unit);
    if (!docks.has(unit.dockId)) {
      report(
        `${at}/dockId`,
        'unknownReference',
        `The dock "${unit.dockId}" of ${name} is no dock of this marina: correct the id or add it.`,
      );
    }
    if (unit.kind === 'face' && unit.faceLengthM === null) {
      report(
        `${at}/faceLengthM`,
        'faceLength',
        `The ${name} has no length, and is let by the metre: enter its length along the dock.`,
      );
    }
    if (unit.kind !== 'face' && unit.faceLengthM !== null) {
      report(
        `${at}/faceLengthM`,
        'faceLength',
        `The ${name} has a face length of ${unit.faceLengthM} m, but only a face is let by the metre: enter null, or kind "face".`,
      );
    }
    reportQuantity(report, `${at}/faceLengthM`, `length of ${name}`, unit.faceLengthM, 'm', 'positive');
  });
}

export function validateBerths(validation: Validation): void {
  const { inventory, report, spaceUnits } = validation;
  reportDuplicateIds(report, '/berths', 'berth', inventory.berths);
  reportDuplicateLabels(report, '/berths', 'berth', inventory.berths, (berth) => {
    const dockId = dockOf(validation, berth);
    return dockId === null ? null : `dock "${dockId}"`;
  });
  inventory.berths.forEach((berth, i) => {
    const at = `/berths/${i}`;
    const units: SpaceUnit[] = [];
    if (berth.unitIds.length === 0) {
      report(`${at}/unitIds`, 'noUnit', `The ${named('berth', berth)} takes no space: name the units that it takes.`);
    }
    berth.unitIds.forEach((unitId, j) => {
      const unit = spaceUnits.get(unitId);
      if (unit === undefined) {
        report(
          `${at}/unitIds/${j}`,
          'unknownReference',
          `The ${named('berth', berth)} takes "${unitId}", which is no space unit of this marina: correct the id or add it.`,
        );
      } else if (berth.unitIds.indexOf(unitId) !== j) {
        report(`${at}/unitIds/${j}`, 'unitTwice', `The ${named('berth', berth)} takes "${unitId}" twice: remove one.`);
      } else {
        validateUnitOf(validation, berth, unit, `${at}/unitIds/${j}`);
        units.push(unit);
      }
    });
    validateFaceRange(validation, berth, units, at);
    validateReaches(validation, berth, at);
    const of = `of ${named('berth', berth)}`;
    reportQuantity(report, `${at}/lengthM`, `length ${of}`, berth.lengthM, 'm', 'positive');
    reportQuantity(report, `${at}/beamM`, `beam ${of}`, berth.beamM, 'm', 'positive');
    reportQuantity(report, `${at}/depthM`, `depth ${of}`, berth.depthM, 'm', 'any');
  });
}

/** The dock of a berth's first known unit. */
function dockOf({ spaceUnits }: Validation, berth: Berth): string | null {
  for (const unitId of berth.unitIds) {
    const unit = spaceUnits.get(unitId);
    if (unit !== undefined) return unit.dockId;
  }
  return null;
}

function validateUnitOf(validation: Validation, berth: Berth, unit: SpaceUnit, pointer: string): void {
  const dockId = dockOf(validation, berth);
  if (unit.dockId !== dockId) {
    validation.report(
      pointer,
      'otherDock',
      `The ${named('berth', berth)} takes "${unit.id}" on dock "${unit.dockId}" and units on dock "${dockId}": a berth lies on one dock.`,
    );
  }
  if (unit.kind === 'face' && berth.unitIds.length > 1) {
    validation.report(
      pointer,
      'faceInComposite',
      `The ${named('berth', berth)} joins the face "${unit.id}" to other units. A face is taken by its metres alone: let it as a berth of its own.`,
    );
  }
}

function validateFaceRange({ report }: Validation, berth: Berth, units: readonly SpaceUnit[], at: string): void {
  const { faceFromM, faceUntilM } = berth;
  const name = named('berth', berth);
  const [unit] = units;
  const onFace = unit?.kind === 'face' && berth.unitIds.length === 1;
  reportQuantity(report, `${at}/faceFromM`, `start on the face of ${name}`, faceFromM, 'm', 'notNegative');
  reportQuantity(report, `${at}/faceUntilM`, `end on the face of ${name}`, faceUntilM, 'm', 'notNegative');
  if (!onFace) {
    // A unit that is not known may well be a face: its own fault is enough.
    if (units.length === 0 || (faceFromM === null && faceUntilM === null)) return;
    report(
      `${at}/${faceFromM === null ? 'faceUntilM' : 'faceFromM'}`,
      'faceRange',
      `The ${name} has a metre range (${faceFromM} to ${faceUntilM} m), but does not lie on a face alone: enter null for both ends.`,
    );
    return;
  }
  if (faceFromM === null || faceUntilM === null) {
    report(
      `${at}/${faceFromM === null ? 'faceFromM' : 'faceUntilM'}`,
      'faceRange',
      `The ${name} lies on the face "${unit.id}" without a full metre range (${faceFromM} to ${faceUntilM} m): enter both ends.`,
    );
  } else if (faceFromM >= faceUntilM) {
    report(
      `${at}/faceUntilM`,
      'faceRange',
      `The ${name} ends at ${faceUntilM} m, not after its start at ${faceFromM} m: correct the range.`,
    );
  } else if (unit.faceLengthM !== null && faceUntilM > unit.faceLengthM) {
    report(
      `${at}/faceUntilM`,
      'faceRange',
      `The ${name} ends at ${faceUntilM} m, beyond the face "${unit.id}" of ${unit.faceLengthM} m: correct the range or the face.`,
    );
  }
}

function validateReaches(validation: Validation, berth: Berth, at: string): void {
  const { report, docks, outlets, pedestals } = validation;
  const dockId = dockOf(validation, berth);
  const seen = new Set<string>();
  berth.reaches.forEach((reach, j) => {
    const pointer = `${at}/reaches/${j}`;
    const name = named('berth', berth);
    const outlet = outlets.get(reach.outletId);
    if (outlet === undefined) {
      report(
        `${pointer}/outletId`,
        'unknownReference',
        `The ${name} reaches "${reach.outletId}", which is no outlet of this marina: correct the id or add it.`,
      );
    } else {
      if (seen.has(reach.outletId)) {
        report(
          `${pointer}/outletId`,
          'reachTwice',
          `The ${name} lists ${named('outlet', outlet)} twice: keep the entry with the right position.`,
        );
      }
      const pedestalDockId = pedestals.get(outlet.pedestalId)?.dockId;
      if (dockId !== null && pedestalDockId !== undefined && docks.has(pedestalDockId) && pedestalDockId !== dockId) {
        report(
          `${pointer}/outletId`,
          'otherDock',
          `The ${name} lies on dock "${dockId}" and reaches ${named('outlet', outlet)} on dock "${pedestalDockId}": cords do not cross between docks. Correct the outlet.`,
        );
      }
    }
    seen.add(reach.outletId);
    const of = `of outlet "${reach.outletId}" as reached from ${name}`;
    reportQuantity(report, `${pointer}/alongM`, `position along ${of}`, reach.alongM, 'm', 'any');
    reportQuantity(report, `${pointer}/acrossM`, `position across ${of}`, reach.acrossM, 'm', 'any');
    reportQuantity(report, `${pointer}/detourM`, `detour ${of}`, reach.detourM, 'm', 'notNegative');
  });
}
