import { equipmentSubject, outletSubject } from '../../inventory/checks/check.ts';
import type { InventoryIndex } from '../../inventory/index-inventory.ts';
import type { LeakagePlace } from './leakage.ts';

export const outletPlaceId = (outletId: string): string => `outlet:${outletId}`;
export const equipmentPlaceId = (equipmentId: string): string => `equipment:${equipmentId}`;

/**
 * Every outlet and every part of the equipment as a place. The way up ends at a transformer: a residual current returns
 * to the winding that drives it, so that no device on the primary side sees it (Kirchhoff).
 */
export function leakagePlaces(index: InventoryIndex): LeakagePlace[] {
  const equipment = index.inventory.equipment.map((part): LeakagePlace => {
    const aboveId = part.kind === 'transformer' || part.parentId === null ? null : equipmentPlaceId(part.parentId);
    return { id: equipmentPlaceId(part.id), subject: equipmentSubject(part), aboveId, ...deviceOf(part) };
  });
  const outlets = index.inventory.outlets.map((outlet): LeakagePlace => {
    const feed = index.pathOfOutlet.get(outlet.id)?.[0];
    const aboveId = feed === undefined ? null : equipmentPlaceId(feed.id);
    return { id: outletPlaceId(outlet.id), subject: outletSubject(outlet, index), aboveId, ...deviceOf(outlet) };
  });
  return [...equipment, ...outlets];
}

function deviceOf({
  groundFault,
}: {
  readonly groundFault: { readonly device: LeakagePlace['device']; readonly settingMa: number | null };
}) {
  return { device: groundFault.device, settingMa: groundFault.settingMa };
}
