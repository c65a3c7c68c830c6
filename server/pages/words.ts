import type { z } from 'zod';
import type { InventoryIndex } from '../../core/inventory/index-inventory.ts';
import { adapterKind } from '../../core/standards/adapter-kinds.ts';
import { configuration } from '../../core/standards/configurations.ts';
import type { connectionSchema, cordSchema, tightestSchema } from '../berth-options/schema.ts';
import { lengthText, type View } from './view.ts';

type Connection = z.output<typeof connectionSchema>;
type HookUp = Connection['hookUp'];
type Cord = z.output<typeof cordSchema>;
type Tightest = z.output<typeof tightestSchema>;

/** `50 A 125/250 V (SS2-50)`: what it is and its designation in the standard. */
export function configurationText(id: string): string {
  const known = configuration(id);
  return known === null ? id : `${known.ratedA} A ${known.labelV} V (${known.id})`;
}

/** `D23-A`: pedestal and outlet as they are labelled. */
export function outletName({ outlets, pedestals }: InventoryIndex, outletId: string): string {
  const outlet = outlets.get(outletId);
  if (outlet === undefined) return outletId;
  return `${pedestals.get(outlet.pedestalId)?.label ?? outlet.pedestalId}-${outlet.label}`;
}

export function outletText(index: InventoryIndex, outletId: string): string {
  const outlet = index.outlets.get(outletId);
  const name = outletName(index, outletId);
  return outlet === undefined ? name : `${name}, ${configurationText(outlet.configurationId)}`;
}

export function adapterText(
  index: InventoryIndex,
  view: View,
  { kindId, from }: Pick<HookUp['adapters'][number], 'kindId' | 'from'>,
): string {
  const kind = index.inventory.adapterKinds.find(({ id }) => id === kindId) ?? adapterKind(kindId);
  return `${view.texts.desk.adapterFrom[from]}: ${kind?.name ?? kindId}`;
}

/** One line an inlet: outlet, adapters, cord, inlet. */
export function hookUpLines(index: InventoryIndex, view: View, hookUp: HookUp, cords: readonly Cord[]): string[] {
  const { desk } = view.texts;
  return hookUp.joints.flatMap(({ from, to }) => {
    if (to.kind !== 'inlet') return [];
    const cord = cords.find(({ inletId }) => inletId === to.inletId);
    const length =
      cord === undefined || cord.lengthM === null ? desk.cordUnknown : desk.cord(lengthText(view, cord.lengthM));
    return [`${sourceText(index, view, hookUp, from)} → ${length} → ${desk.inlet(to.inletId, to.configurationId)}`];
  });
}

function sourceText(
  index: InventoryIndex,
  view: View,
  hookUp: HookUp,
  source: HookUp['joints'][number]['from'],
): string {
  if (source.kind === 'outlet') return outletText(index, source.outletId);
  const adapter = hookUp.adapters.find(({ ref }) => ref === source.adapter);
  const sources = hookUp.joints.flatMap(({ from, to }) =>
    to.kind === 'plug' && to.adapter === source.adapter ? [sourceText(index, view, hookUp, from)] : [],
  );
  return `${sources.join(' + ')} → ${adapter === undefined ? source.adapter : adapterText(index, view, adapter)}`;
}

/** `feeder A3, breaker: 240 of 250 A, 4 % left`. */
export function tightestText(
  view: View,
  { label, limitKind, winding, actual, limit, unit, marginShare }: Tightest,
): string {
  const kind = winding === null ? view.texts.desk.limitKinds[limitKind] : view.texts.desk.winding(winding);
  return `${label}, ${kind}: ${view.texts.desk.ofLimit(actual.toFixed(0), limit.toFixed(0), unit)}, ${view.texts.desk.left(
    Math.round(marginShare * 100),
  )}`;
}
