import { demandAt } from '../../core/electrical/demand/demand-at.ts';
import { peakDemand } from '../../core/electrical/demand/peak-demand.ts';
import type { InventoryIndex } from '../../core/inventory/index-inventory.ts';
import type { Equipment } from '../../core/inventory/inventory.ts';
import type { Period } from '../../core/periods.ts';
import { practiceOf } from '../berth-options/question.ts';
import type { Tx } from '../db/client.ts';
import { Problem } from '../errors.ts';
import { loadPresent } from '../occupancy/overstays.ts';
import { momentToApi, partToApi, peakToApi } from './schema.ts';

export interface AskedDemand {
  readonly index: InventoryIndex;
  readonly period: Period;
  /** Whether the period stands for its first moment. */
  readonly isMoment: boolean;
  /** One part, or null for all of them in the order of the inventory. */
  readonly equipmentId: string | null;
  readonly now: number;
}

/**
 * Demand of the parts on both bases, at a moment or as the peaks of a period, from what is stored as in use.
 * @throws Problem `not-found` where the inventory has no such part.
 */
export async function readDemand(db: Tx, marinaId: string, { index, period, isMoment, equipmentId, now }: AskedDemand) {
  const practice = practiceOf(index);
  if (equipmentId !== null) requirePart(index, equipmentId);
  const { outletUses } = await loadPresent(db, marinaId, index, { now, period });
  const answer = isMoment
    ? demandAt(index, practice, outletUses, period.from).map(({ rated, stated }) => ({
        equipmentId: rated.equipmentId,
        rated: momentToApi(rated, period.from),
        stated: momentToApi(stated, period.from),
      }))
    : peakDemand(index, practice, outletUses, period, equipmentId).map(({ rated, stated }) => ({
        equipmentId: rated.equipmentId,
        rated: peakToApi(rated),
        stated: peakToApi(stated),
      }));
  return answer
    .filter((part) => equipmentId === null || part.equipmentId === equipmentId)
    .map(({ equipmentId: id, rated, stated }) => ({ ...partToApi(requirePart(index, id)), rated, stated }));
}

export function requirePart({ equipment }: InventoryIndex, equipmentId: string): Equipment {
  const part = equipment.get(equipmentId);
  if (part === undefined) throw new Problem('not-found', `There is no distribution equipment "${equipmentId}".`);
  return part;
}
