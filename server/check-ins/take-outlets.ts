import type { Assignment } from '../db/generated/client.ts';
import { rewriteDerivedUses } from '../occupancy/derived-uses.ts';
import { type Displaced, displace } from '../occupancy/displace.ts';
import type { EventContext } from './event-context.ts';

/**
 * Makes the outlets that a boat is really plugged into its own from `at` on, whoever has them: the truth displaces. What
 * it was kept and does not use is free again.
 */
export async function takeOutlets(
  { tx, marinaId, index, at }: Pick<EventContext, 'tx' | 'marinaId' | 'index' | 'at'>,
  {
    assignment,
    outletIds,
    statedVa,
    boatName,
  }: {
    readonly assignment: Assignment;
    readonly outletIds: readonly string[];
    readonly statedVa: ReadonlyMap<string, number | null>;
    readonly boatName: string;
  },
): Promise<{ readonly displaced: readonly Displaced[]; readonly before: readonly string[] }> {
  const assignmentId = assignment.id;
  const from = Math.max(at, assignment.fromAt.getTime());
  const fromAt = new Date(from);
  const uses = await tx.outletUse.findMany({
    where: { marinaId, assignmentId, untilAt: { gt: fromAt } },
    orderBy: { id: 'asc' },
  });
  const before = [...new Set(uses.map(({ outletId }) => outletId))];
  const added = outletIds.filter((id) => !before.includes(id));
  const left = before.filter((id) => !outletIds.includes(id));
  if (added.length + left.length === 0) return { displaced: [], before };
  const until = Math.max(assignment.occupiedUntil.getTime(), from + 1);
  const { displaced, touched } = await displace(tx, marinaId, index, {
    spaces: [],
    outlets: added.map((outletId) => ({ outletId, from, until })),
    cause: `"${boatName}" is plugged in there.`,
  });
  await tx.outletUse.deleteMany({ where: { marinaId, assignmentId, outletId: { in: left }, fromAt: { gte: fromAt } } });
  await tx.outletUse.updateMany({
    where: { marinaId, assignmentId, outletId: { in: left }, untilAt: { gt: fromAt } },
    data: { untilAt: fromAt },
  });
  await tx.outletUse.createMany({
    data: added.map((outletId) => ({
      marinaId,
      outletId,
      fromAt,
      untilAt: new Date(until),
      statedVa: statedVa.get(outletId) ?? null,
      assignmentId,
    })),
  });
  await rewriteDerivedUses(tx, marinaId, {
    unitIds: touched.unitIds,
    outletIds: [...touched.outletIds, ...added, ...left],
    since: Math.min(from, touched.since),
  });
  return { displaced, before };
}
