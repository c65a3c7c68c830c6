import { compareInventories, type InventoryDifference } from '../../core/inventory/change.ts';
import type { Inventory } from '../../core/inventory/inventory.ts';
import { marinaTransaction } from '../db/marina-transaction.ts';
import type { Principal } from '../http/access.ts';
import { requireVersion, type VersionCondition } from '../http/version.ts';
import { rewriteDerivedUses, type Touched } from '../occupancy/derived-uses.ts';
import type { Services } from '../services.ts';
import { sidesOf } from './difference.ts';
import { requireUnused } from './find-uses.ts';
import { loadInventoryRevision } from './load.ts';
import { questionJudgements } from './question-judgements.ts';
import { saveInventory } from './save.ts';

interface InventoryCommand {
  readonly principal: Principal;
  /** Revisions of the inventory that the change may be based on. */
  readonly ifVersion: VersionCondition | null;
  readonly now: number;
  readonly input: {
    /** The kind of the change row. */
    readonly kind: string;
    /** The inventory as it shall be, validated; throws a Problem where it would be faulty. */
    readonly change: (before: Inventory) => Inventory;
    /** Only say what would change, or why it could not. */
    readonly dryRun: boolean;
  };
}

export interface WrittenInventory {
  readonly inventoryRevision: number;
  /** False where nothing differs, and after a dry run. */
  readonly stored: boolean;
  /** The inventory as it is since, or after a dry run as it would be. */
  readonly after: Inventory;
  readonly difference: InventoryDifference;
}

/**
 * Changes a marina's inventory, all or nothing; where nothing differs, nothing is written and the revision stays.
 *
 * The new inventory is made and validated before the marina is locked, so that a large document holds nobody up; the
 * lock then only admits it on the revision it was made from. Stored occupancy stays as it was written: a new turnover
 * time counts for what is written from now on, and does not move the end of what is there.
 *
 * Throws a Problem: `stale-version`, `in-use`, and whatever `change` throws.
 */
export async function writeInventory(
  { db, inventories }: Services,
  { principal, ifVersion, now, input }: InventoryCommand,
): Promise<WrittenInventory> {
  const { marinaId, id: actor } = principal;
  const subject = 'The inventory';
  const { revision, index } = await inventories.inventoryOf(db.prisma, marinaId);
  requireVersion(ifVersion, revision, subject);
  const before = index.inventory;
  const after = input.change(before);
  const difference = compareInventories(before, after);
  if (difference.isEmpty || input.dryRun) {
    await requireUnused(db.prisma, marinaId, before, after, difference, now);
    return { inventoryRevision: revision, stored: false, after, difference };
  }
  const options = { marinaId, actor, kind: input.kind, now };
  const inventoryRevision = await marinaTransaction(db, options, async ({ tx, ...write }) => {
    requireVersion([revision], (await loadInventoryRevision(tx, marinaId)) ?? revision, subject);
    await requireUnused(tx, marinaId, before, after, difference, now);
    await saveInventory(tx, marinaId, before, after);
    await rewriteDerivedUses(tx, marinaId, touchedBy([before, after], difference, now));
    await questionJudgements(tx, marinaId, before, after, difference, now);
    const bumped = await write.bumpInventoryRevision();
    const sides = sidesOf(before, after, difference);
    await write.recordChange(
      { inventoryRevision: revision, ...sides.before },
      { inventoryRevision: bumped, ...sides.after },
    );
    return bumped;
  });
  return { inventoryRevision, stored: true, after, difference };
}

/** Holders of a changed berth hold its units as they are now. */
function touchedBy(sides: readonly Inventory[], { collections }: InventoryDifference, now: number): Touched {
  const changed = new Set(collections.berths.changed);
  const berths = sides.flatMap(({ berths: all }) => all.filter(({ id }) => changed.has(id)));
  return { unitIds: berths.flatMap(({ unitIds }) => unitIds), outletIds: [], since: now };
}
