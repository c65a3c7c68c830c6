import { z } from 'zod';
import { indexInventory } from '../../core/inventory/index-inventory.ts';
import type { Inventory } from '../../core/inventory/inventory.ts';
import { yearlyPayment } from '../../core/upgrades/money/annuity.ts';
import { amountText, minorUnits } from '../../core/upgrades/money/money.ts';
import { dueObligations } from '../../core/upgrades/studies/obligations.ts';
import { applyStudy, inOrderOfNeed, movedUnder, type StudyChange } from '../../core/upgrades/studies/study.ts';
import type { Tx } from '../db/client.ts';
import type { UpgradeStudy } from '../db/generated/client.ts';
import { Problem } from '../errors.ts';
import type { Services } from '../services.ts';
import { studyInputSchema, type studySchema } from './schema.ts';

export type StudyInput = z.output<typeof studyInputSchema>;

/** What was checked at the door when it was written is not checked item by item again. */
const storedBase = z.custom<Inventory>((value) => typeof value === 'object' && value !== null && 'equipment' in value);
const settingsSchema = studyInputSchema.pick({ currency: true, edition: true, loan: true, obligations: true });

export interface StoredStudy {
  readonly row: UpgradeStudy;
  readonly base: Inventory;
  readonly changes: readonly StudyChange[];
  readonly settings: z.output<typeof settingsSchema>;
}

/** @throws Problem `not-found` */
export async function readStudy(tx: Tx, marinaId: string, studyId: string): Promise<StoredStudy> {
  const row = await tx.upgradeStudy.findUnique({ where: { marinaId_id: { marinaId, id: studyId } } });
  if (row === null) throw new Problem('not-found', `There is no study "${studyId}".`);
  return studyOf(row);
}

export function studyOf(row: UpgradeStudy): StoredStudy {
  return {
    row,
    base: storedBase.parse(row.base),
    changes: studyInputSchema.shape.changes.parse(row.changes) as readonly StudyChange[],
    settings: settingsSchema.parse(row.settings),
  };
}

/** The study as the API shows it, held against the marina's present inventory. */
export async function studyDocument(
  { db, inventories }: Services,
  { row, base, changes, settings }: StoredStudy,
): Promise<z.output<typeof studySchema>> {
  const { index, revision } = await inventories.inventoryOf(db.prisma, row.marinaId);
  const movedOn = Number(row.baseRevision) !== revision;
  return {
    id: row.id,
    name: row.name,
    ...settings,
    changes: studyInputSchema.shape.changes.parse(changes),
    version: row.version,
    ...moneyOf(settings, changes),
    baseRevision: Number(row.baseRevision),
    movedOn,
    movedUnder: movedOn ? movedUnder(changes, base, index.inventory) : [],
  };
}

/** What the changes cost with what they oblige to, and a year of the loan for it. */
export function moneyOf({ currency, loan, obligations }: StoredStudy['settings'], made: readonly StudyChange[]) {
  const sum = (priced: readonly { readonly cost: string }[]) =>
    priced.reduce((total, { cost }) => total + minorUnits(cost, currency), 0n);
  const besides = sum(dueObligations(obligations, new Set(made.map(({ id }) => id))));
  const principal = sum(made) + besides;
  return {
    cost: amountText(principal, currency),
    costOfObligations: amountText(besides, currency),
    yearlyPayment: loan === null ? null : amountText(yearlyPayment({ principal, ...loan }), currency),
  };
}

/**
 * Throws `faulty-document` where the changes require each other in a circle, an item is under another id, or a cost is
 * finer than the currency, or an obligation names a change that is not there.
 */
export function requireSoundChanges({ changes: given, currency, obligations }: StudyInput): void {
  const changes = given as readonly StudyChange[];
  const ids = new Set<string>();
  for (const [i, { id, cost }] of changes.entries()) {
    if (ids.has(id)) throw faulty(`/changes/${i}/id`, `Two changes have the id "${id}".`);
    ids.add(id);
    requireWhole(cost, currency, `/changes/${i}/cost`);
  }
  for (const [o, { cost, changeIds }] of obligations.entries()) {
    requireWhole(cost, currency, `/obligations/${o}/cost`);
    const missing = changeIds.find((each) => !ids.has(each));
    if (missing !== undefined)
      throw faulty(`/obligations/${o}/changeIds`, `There is no change "${missing}" in the study.`);
  }
  try {
    inOrderOfNeed(changes);
  } catch (error) {
    if (error instanceof RangeError) throw faulty('/changes', error.message);
    throw error;
  }
  for (const [c, { items }] of changes.entries()) {
    const other = items.findIndex(({ id, item }) => item !== null && item.id !== id);
    if (other >= 0)
      throw faulty(`/changes/${c}/items/${other}/item/id`, 'The id of the item is not the id of the change.');
  }
}

function requireWhole(cost: string, currency: string, pointer: string): void {
  try {
    minorUnits(cost, currency);
  } catch (error) {
    if (error instanceof RangeError) throw faulty(pointer, error.message);
    throw error;
  }
}

function faulty(pointer: string, message: string): Problem {
  return new Problem('faulty-document', message, { errors: [{ in: 'body', pointer, message }] });
}

export interface BothInventories {
  readonly before: ReturnType<typeof indexInventory>;
  readonly after: ReturnType<typeof indexInventory>;
  /** Changes made, with what they require, in the study's order. */
  readonly made: readonly StudyChange[];
  readonly touched: ReadonlySet<string>;
}

/** Both inventories ready to compute with. Throws `faulty-document` where the changes leave no legal one. */
export function bothInventories({ base, changes }: StoredStudy, chosenIds: readonly string[] | null): BothInventories {
  const wanted = new Set(chosenIds ?? changes.map(({ id }) => id));
  for (const id of wanted) {
    if (!changes.some((change) => change.id === id))
      throw faulty('/chosen', `There is no change "${id}" in the study.`);
  }
  for (const change of [...inOrderOfNeed(changes)].reverse()) {
    if (wanted.has(change.id)) for (const id of change.requires) wanted.add(id);
  }
  const { inventory, faults } = applyStudy(base, changes, wanted);
  const [first] = faults;
  if (first !== undefined) {
    throw new Problem('faulty-document', `With these changes the inventory contradicts itself: ${first.message}`, {
      errors: faults.slice(0, 100).map(({ pointer, message }) => ({ in: 'body', pointer, message })),
    });
  }
  const made = changes.filter(({ id }) => wanted.has(id));
  return {
    before: indexInventory(base),
    after: indexInventory(inventory),
    made,
    touched: new Set(made.flatMap(({ items }) => items.map(({ id }) => id))),
  };
}
