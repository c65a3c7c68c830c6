import type { Assignment } from '../db/generated/client.ts';
import { enterFound } from '../occupancy/record-found.ts';
import { storeArrival } from '../stays/store-arrival.ts';
import type { StoredStay } from '../stays/stored-stay.ts';
import type { EventContext } from './event-context.ts';
import type { BodyOf, Contradiction } from './schema.ts';

const toCome = new Set(['requested', 'offered', 'promised', 'arrived']);

/**
 * The boat lies where the dock says. Where that is the berth it has, its stay has arrived; else it is entered as found
 * there, whatever the desk had planned meanwhile.
 */
export async function arriveAt(
  context: EventContext,
  { row, boat, assignments }: StoredStay,
  { berthId }: BodyOf<'checkIn'>,
): Promise<{ readonly assignment: Assignment | null; readonly contradictions: readonly Contradiction[] }> {
  const { tx, marinaId, index, services, now, at } = context;
  const labelOf = (id: string) => index.berths.get(id)?.label ?? id;
  const contradictions: Contradiction[] = [];
  if (!toCome.has(row.state))
    contradictions.push({
      about: 'stay',
      dock: 'here',
      desk: row.state,
      message: `The dock checks in ${boat.name}; at the desk its stay is ${row.state}.`,
    });
  const planned =
    assignments.find(({ fromAt, untilAt }) => fromAt.getTime() <= at && at < untilAt.getTime()) ??
    assignments.find(({ untilAt }) => at < untilAt.getTime()) ??
    null;
  if (planned === null || planned.berthId !== berthId)
    contradictions.push({
      about: 'berth',
      dock: labelOf(berthId),
      desk: planned === null ? 'none' : labelOf(planned.berthId),
      message: `${boat.name} lies on berth ${labelOf(berthId)}; at the desk it has ${planned === null ? 'no berth' : `berth ${labelOf(planned.berthId)}`}.`,
    });
  if (!index.berths.has(berthId)) {
    await storeArrival(tx, row, at);
    return { assignment: planned, contradictions };
  }
  if (planned !== null && planned.berthId === berthId && planned.fromAt.getTime() <= at) {
    await storeArrival(tx, row, at);
    return { assignment: planned, contradictions };
  }
  const onSameFace = planned !== null && planned.berthId === berthId;
  const found = await enterFound(
    services,
    { tx, recordChange: async () => {} },
    {
      marinaId,
      now,
      input: {
        berthId,
        fromM: onSameFace ? planned.faceFromM : null,
        untilM: onSameFace ? planned.faceUntilM : null,
        stayId: row.id,
        at: new Date(at).toISOString(),
      },
    },
  );
  const where = { marinaId_id: { marinaId, id: found.assignment.id } };
  for (const { boatName } of found.displaced)
    contradictions.push({
      about: 'berth',
      dock: boat.name,
      desk: boatName,
      message: `"${boatName}" had berth ${labelOf(berthId)} or an outlet of it, and needs another.`,
    });
  return { assignment: await tx.assignment.findUnique({ where }), contradictions };
}
