import type { Equipment, Inventory } from '../../core/inventory/inventory.ts';
import { configuration } from '../../core/standards/configurations.ts';
import { groupBy } from '../group-by.ts';
import { EquipmentSymbol, LineWeight } from '../pages/parts/symbols.tsx';
import type { View } from '../pages/view.ts';
import { type PartStanding, StandingText, tightestOf } from './standing-text.tsx';

interface DrawingProps {
  readonly view: View;
  readonly title: string;
  readonly inventory: Inventory;
  readonly parts: readonly PartStanding[];
  /** By collection and id: the change that puts it in place. */
  readonly changedBy: ReadonlyMap<string, { readonly id: string; readonly label: string }>;
}

/** One side of a study as a single-line diagram: each part with its demand and limit, its pedestals told by their kind. */
export function StudyDrawing({ view, title, inventory, parts, changedBy }: DrawingProps) {
  const { upgrades } = view.texts;
  const standing = new Map(parts.map((part) => [part.equipmentId, part]));
  const branches = new Map(
    inventory.equipment.flatMap(({ id, kind, parentId }) =>
      kind === 'branchCircuit' && parentId !== null && !changedBy.has(`equipment/${id}`) ? [[id, parentId]] : [],
    ),
  );
  const children = groupBy(
    inventory.equipment.filter(({ id }) => !branches.has(id)),
    ({ parentId }) => parentId,
  );
  const pedestals = groupBy(inventory.pedestals, ({ fedById }) => branches.get(fedById) ?? fedById);
  const outlets = groupBy(inventory.outlets, ({ pedestalId }) => pedestalId);
  const draw = (parentId: string | null) => {
    const below = children.get(parentId) ?? [];
    if (below.length === 0) return null;
    return (
      <ul class={parentId === null ? 'tree' : undefined}>
        {below.map((part) => {
          const found = standing.get(part.id);
          const change = changedBy.get(`equipment/${part.id}`);
          return (
            <li key={part.id}>
              <div class="supply">
                <span class="supply-line">
                  <LineWeight share={found === undefined ? null : (tightestOf(found)?.share ?? null)} />
                  <EquipmentSymbol kind={part.kind} />
                </span>
                <span class="supply-text">
                  <strong>{part.label}</strong> {ratingText(view, part)}
                  {change && (
                    <>
                      {' '}
                      <a class="tag" href={`#change-${change.id}`}>
                        {change.label}
                      </a>
                    </>
                  )}
                  <br />
                  {found !== undefined && <StandingText view={view} part={found} />}
                  <Pedestals
                    view={view}
                    pedestals={(pedestals.get(part.id) ?? []).map((pedestal) => ({
                      label: pedestal.label,
                      kind: (outlets.get(pedestal.id) ?? [])
                        .map(({ configurationId }) => configuration(configurationId)?.id ?? configurationId)
                        .sort()
                        .join(' + '),
                    }))}
                  />
                </span>
              </div>
              {draw(part.id)}
            </li>
          );
        })}
      </ul>
    );
  };
  return (
    <section class="side" aria-label={title}>
      <h3>{title}</h3>
      {inventory.equipment.length === 0 ? <p class="empty">{upgrades.noParts}</p> : draw(null)}
    </section>
  );
}

/** What an electrician looks for first: breaker, conductor, transformer. */
function ratingText(view: View, { breakerA, conductor, transformer }: Equipment): string {
  const { upgrades } = view.texts;
  return [
    transformer?.ratedKva == null ? null : `${transformer.ratedKva} kVA`,
    breakerA === null ? null : upgrades.breakerOf(breakerA),
    conductor === null
      ? null
      : `${conductor.parallelSets > 1 ? `${conductor.parallelSets} × ` : ''}${conductor.size} ${conductor.sizeUnit}`,
  ]
    .filter((words) => words !== null)
    .join(', ');
}

interface PedestalsProps {
  readonly view: View;
  readonly pedestals: readonly { readonly label: string; readonly kind: string }[];
}

/** Pedestals alike are told together: how many, of which outlets, from which to which. */
function Pedestals({ view, pedestals }: PedestalsProps) {
  const { upgrades } = view.texts;
  const alike = [...groupBy(pedestals, ({ kind }) => kind)];
  return (
    <>
      {alike.map(([kind, of]) => (
        <span key={kind} class="pedestals small">
          {upgrades.pedestals(of.length, of[0]?.label ?? '', of.at(-1)?.label ?? '')}: {kind || upgrades.noOutlets}
        </span>
      ))}
    </>
  );
}
