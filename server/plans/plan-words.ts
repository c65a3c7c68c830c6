import type { z } from 'zod';
import type { InventoryIndex } from '../../core/inventory/index-inventory.ts';
import { dayText, type View } from '../pages/view.ts';
import { newPlanSchema, type PlanDocument, type planResultSchema } from './schema.ts';

type StoppedBy = z.output<typeof planResultSchema>['unplaced'][number]['stoppedBy'][number];

/** `Mon, Jun 10 to Mon, Jun 17`. */
export function periodText(view: View, { asked }: Pick<PlanDocument, 'asked'>): string {
  const { from, until } = newPlanSchema.parse(asked).period;
  return view.texts.desk.fromTo(dayText(view, from), dayText(view, until));
}

/** What a plan comes to against today; nothing before it has a result. */
export function countsText(view: View, difference: PlanDocument['difference']): string {
  if (difference === null) return '';
  const { kept, moved, placed, unplaced } = difference;
  return view.texts.plan.counts(kept, moved.length, placed.length, unplaced.length);
}

/** An aim of core, which names it in English, in the view's language. */
export function aimText({ texts: { plan } }: View, name: string): string {
  const served = /^(boats|nights) served, priority (-?\d+)$/.exec(name);
  if (served !== null) return plan.served[served[1] === 'nights' ? 'nights' : 'boats'](served[2] ?? '');
  const names: Readonly<Record<string, string>> = plan.aimNames;
  return names[name] ?? name;
}

/** `Feeder A: demand.breaker, 12 berths`. */
export function stoppedByText(view: View, index: InventoryIndex, { rule, subject, berths }: StoppedBy): string {
  const of = subject === null ? '' : ` (${index.equipment.get(subject)?.label ?? stockLabel(index, subject)})`;
  const words: Readonly<Record<string, string>> = { ...view.texts.desk.whys, ...view.texts.plan.whys };
  return `${words[rule] ?? rule}${of}: ${view.texts.plan.ruleAgainst(berths)}`;
}

function stockLabel({ inventory }: InventoryIndex, id: string): string {
  return inventory.adapterStock.find((stock) => stock.id === id)?.label ?? id;
}
