import { isDeepStrictEqual } from 'node:util';
import { marinaTransaction } from '../db/marina-transaction.ts';
import { plainJson } from '../db/plain-json.ts';
import type { Principal } from '../http/access.ts';
import { requireVersion, type VersionCondition } from '../http/version.ts';
import { invalid } from '../occupancy/berth-parts.ts';
import type { Services } from '../services.ts';
import { questionJudgements } from './question-judgements.ts';
import { requireAgreement, requireKnown } from './require-sound.ts';
import {
  type BoatDocument,
  type BoatFactsChange,
  type BoatFactsInput,
  boatDocument,
  boatFactsSchema,
  factsFromApi,
  mostInlets,
  type NewBoat,
} from './schema.ts';
import { readBoat } from './stored-boat.ts';

interface ChangeBoat<Input> {
  readonly principal: Principal;
  readonly ifVersion: VersionCondition | null;
  readonly now: number;
  readonly boatId: string;
  readonly input: Input;
}

/** Replaces name and facts. Throws a Problem: `not-found`, `stale-version`, `invalid-input`. */
export async function replaceBoat(services: Services, command: ChangeBoat<NewBoat>): Promise<BoatDocument> {
  return writeBoat(services, command, 'boat.replaced', () => command.input);
}

/**
 * Takes single facts into those stored; the last one written stands. The change shows both. Throws a Problem:
 * `not-found`, `invalid-input`.
 */
export async function changeBoatFacts(services: Services, command: ChangeBoat<BoatFactsChange>): Promise<BoatDocument> {
  return writeBoat(services, command, 'boat.factsChanged', (stored) => {
    const { inlets = [], ...own } = command.input;
    return { ...stored, ...own, inlets: mergeInlets(stored.inlets, inlets) };
  });
}

function writeBoat(
  { db, inventories }: Services,
  { principal, ifVersion, now, boatId, input }: ChangeBoat<BoatFactsChange>,
  kind: string,
  change: (stored: NewBoat) => NewBoat,
): Promise<BoatDocument> {
  const { marinaId, id: actor } = principal;
  return marinaTransaction(db, { marinaId, actor, kind, now }, async ({ tx, recordChange }) => {
    const row = await readBoat(tx, marinaId, boatId);
    requireVersion(ifVersion, row.version, `Boat "${row.name}"`);
    const { index } = await inventories.inventoryOf(tx, marinaId);
    const before = boatDocument(row);
    const { id: _, version: __, createdAt: ___, retiredAt: ____, ...stored } = before;
    requireKnown(input, index.inventory);
    const { name, ...facts } = change(stored);
    requireAgreement(facts);
    const after = boatDocument(
      await tx.boat.update({
        where: { marinaId_id: { marinaId, id: boatId } },
        data: { name, facts: plainJson(factsFromApi(facts, now)), version: { increment: 1 } },
      }),
    );
    if (!isDeepStrictEqual(stored, { ...facts, name: stored.name })) {
      await questionJudgements(tx, marinaId, after, { now, timeZone: index.inventory.timeZone });
    }
    await recordChange(before, after);
    return after;
  });
}

type Inlets = BoatFactsInput['inlets'];

function mergeInlets(stored: Inlets, changes: NonNullable<BoatFactsChange['inlets']>): Inlets {
  const merged = [...stored];
  changes.forEach((change, i) => {
    if (changes.findIndex(({ id }) => id === change.id) < i) {
      throw invalid(`/inlets/${i}/id`, `"${change.id}" is given twice. An id is unique on its boat.`);
    }
    const position = merged.findIndex(({ id }) => id === change.id);
    const known = merged[position];
    if (known !== undefined) merged[position] = { ...known, ...change };
    else merged.push(...boatFactsSchema.shape.inlets.parse([change]));
  });
  if (merged.length > mostInlets) throw invalid('/inlets', `The boat would have more than ${mostInlets} inlets.`);
  return merged;
}
