import { exceeds } from '../../core/berths/metres.ts';
import type { UnitPart } from '../../core/berths/space-uses.ts';
import type { InventoryIndex } from '../../core/inventory/index-inventory.ts';
import type { Berth } from '../../core/inventory/inventory.ts';
import { type InputError, Problem } from '../errors.ts';

/** A range asked for on a face; null bounds: the berth's own, or the whole of a unit that is no face. */
export interface AskedRange {
  readonly fromM: number | null;
  readonly untilM: number | null;
}

/** What a berth takes of its units, and the metre range to store (null where it is no face). */
export interface BerthParts {
  readonly berth: Berth;
  readonly range: { readonly fromM: number; readonly untilM: number } | null;
  readonly parts: readonly UnitPart[];
}

/**
 * The units, or metres of a face, that a place on a berth takes. A range may leave the berth (boats lie where they
 * lie), never the face.
 * @throws Problem `invalid-input` for an unknown berth or a range that its face does not have.
 */
export function partsOfBerth(index: InventoryIndex, berthId: string, asked: AskedRange): BerthParts {
  const berth = index.berths.get(berthId);
  if (berth === undefined) throw invalid('/berthId', `There is no berth "${berthId}". Take an id of the inventory.`);
  const face = berth.unitIds.map((id) => index.spaceUnits.get(id)).find((unit) => unit?.kind === 'face');
  const range = face === undefined ? noRange(asked, berth.label) : rangeOnFace(asked, berth, face.faceLengthM);
  const parts = berth.unitIds.map((unitId) => ({ unitId, ...(range ?? { fromM: 0, untilM: 1 }) }));
  return { berth, range, parts };
}

/** A unit, or metres of a face, by its own id: what can be put out of service. */
export function partOfUnit(index: InventoryIndex, unitId: string, asked: AskedRange): UnitPart & { isFace: boolean } {
  const unit = index.spaceUnits.get(unitId);
  if (unit === undefined) throw invalid('/unitId', `There is no unit "${unitId}". Take an id of the inventory.`);
  const isFace = unit.kind === 'face';
  const whole = { faceFromM: 0, faceUntilM: unit.faceLengthM, label: unit.label };
  const range = isFace ? rangeOnFace(asked, whole, unit.faceLengthM) : noRange(asked, unit.label);
  return { unitId, ...(range ?? { fromM: 0, untilM: 1 }), isFace };
}

function noRange(asked: AskedRange, label: string): null {
  if (asked.fromM !== null || asked.untilM !== null) {
    throw invalid('/fromM', `${label} is no face: it is taken whole. Leave fromM and untilM out.`);
  }
  return null;
}

function rangeOnFace(
  asked: AskedRange,
  own: Pick<Berth, 'faceFromM' | 'faceUntilM' | 'label'>,
  faceLengthM: number | null,
): { fromM: number; untilM: number } {
  const fromM = asked.fromM ?? own.faceFromM ?? 0;
  const untilM = asked.untilM ?? own.faceUntilM ?? faceLengthM;
  if (untilM === null) throw invalid('/untilM', `The length of ${own.label} is unknown. Give fromM and untilM.`);
  if (fromM >= untilM) throw invalid('/untilM', `The range ends at ${untilM} m, before it begins at ${fromM} m.`);
  if (faceLengthM !== null && exceeds(untilM, faceLengthM)) {
    throw invalid('/untilM', `The range ends at ${untilM} m; the face of ${own.label} ends at ${faceLengthM} m.`);
  }
  return { fromM, untilM };
}

/** A fault of the body found in the data, in the form of those found by the schema. */
export function invalid(pointer: string, message: string): Problem {
  const error: InputError = { in: 'body', pointer, message };
  return new Problem('invalid-input', `body${pointer}: ${message}`, { errors: [error] });
}

/** @throws Problem `invalid-input` for the first outlet that the inventory does not have. */
export function requireOutlets(
  index: InventoryIndex,
  outletIds: readonly string[],
  pointerOf: (position: number) => string,
): void {
  outletIds.forEach((outletId, position) => {
    if (!index.outlets.has(outletId)) {
      throw invalid(pointerOf(position), `There is no outlet "${outletId}". Take an id of the inventory.`);
    }
    if (outletIds.indexOf(outletId) < position) throw invalid(pointerOf(position), `"${outletId}" is named twice.`);
  });
}
