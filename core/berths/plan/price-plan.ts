import type { LinearModel } from '../../linear/linear-model.ts';
import { type Priced, price } from '../../linear/prices.ts';
import { columnCosts, type WeighedLevels } from '../../linear/weighed-levels.ts';
import type { PlanState } from './plan-state.ts';

/**
 * Bounds a plan's model by prices, each stay choosing for itself.
 * @param known the weighed sum of the best plan so far; infinite: there is none
 * @param goOn asked now and then; false ends it
 */
export function pricePlan(
  { scene, columns }: PlanState,
  model: LinearModel,
  weighed: WeighedLevels,
  known: number,
  goOn: () => boolean,
): Priced {
  const { stays } = scene.question;
  const numbers = new Map(stays.map(({ id }, i) => [id, i]));
  const groupOf = new Int32Array(model.columnLower.length).fill(-1);
  columns.forEach(({ stay }, i) => {
    groupOf[i] = numbers.get(stay.id) ?? -1;
  });
  const isForced = stays.map(({ promised }) => promised);
  return price({ model, groupOf, isForced, costs: columnCosts(weighed, model), known, goOn });
}
