import { marinaTransaction } from '../db/marina-transaction.ts';
import { Problem } from '../errors.ts';
import type { Principal } from '../http/access.ts';
import { localTime } from '../local-time.ts';
import type { Services } from '../services.ts';
import { boatDocument } from './schema.ts';
import { readBoat } from './stored-boat.ts';

interface RetireBoat {
  readonly principal: Principal;
  readonly now: number;
  readonly boatId: string;
}

/**
 * Takes a boat off the list; its past stays keep it. Throws a Problem: `not-found`, `wrong-state` (retired already),
 * `in-use` (a stay or a holding, now or to come).
 */
export async function retireBoat({ db, inventories }: Services, { principal, now, boatId }: RetireBoat): Promise<void> {
  const { marinaId, id: actor } = principal;
  await marinaTransaction(db, { marinaId, actor, kind: 'boat.retired', now }, async ({ tx, recordChange }) => {
    const row = await readBoat(tx, marinaId, boatId);
    if (row.retiredAt !== null) throw new Problem('wrong-state', `Boat "${row.name}" is retired already.`);
    const stay = await tx.stay.findFirst({
      where: {
        marinaId,
        boatId,
        OR: [
          { state: 'arrived' },
          { state: { in: ['requested', 'offered', 'promised'] }, departureAt: { gt: new Date(now) } },
        ],
      },
      orderBy: { arrivalAt: 'asc' },
    });
    if (stay !== null) {
      const { index } = await inventories.inventoryOf(tx, marinaId);
      const from = localTime(stay.arrivalAt.getTime(), index.inventory.timeZone);
      throw new Problem('in-use', `Boat "${row.name}" has a stay from ${from} on ("${stay.id}"). Cancel that first.`);
    }
    const holding = await tx.holding.findFirst({ where: { marinaId, boatId, untilAt: { gt: new Date(now) } } });
    if (holding !== null) {
      throw new Problem(
        'in-use',
        `Boat "${row.name}" is that of the holding of ${holding.holderName}. End that first.`,
      );
    }
    const after = await tx.boat.update({
      where: { marinaId_id: { marinaId, id: boatId } },
      data: { retiredAt: new Date(now), version: { increment: 1 } },
    });
    await recordChange(boatDocument(row), boatDocument(after));
  });
}
