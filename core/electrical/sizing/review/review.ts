import type { Finding } from '../../../findings.ts';
import type { InventoryCheck } from '../../../inventory/checks/check.ts';
import type { InventoryIndex } from '../../../inventory/index-inventory.ts';
import { type EditionId, editions } from './editions.ts';
import { groundFaultRules } from './ground-fault-rules.ts';
import { receptacleRules } from './receptacle-rules.ts';
import { siteRules } from './site-rules.ts';

export interface ReviewedRule {
  readonly name: string;
  readonly looksFor: string;
  readonly findings: readonly Finding[];
}

export interface Review {
  readonly edition: EditionId;
  readonly editionName: string;
  /** Every rule of the edition, also where it found nothing. */
  readonly rules: readonly ReviewedRule[];
  /** The findings above where a missing fact decides: never read as fine. */
  readonly notAssessed: readonly Finding[];
}

/** Every rule that is known here of one edition. */
export function reviewRules(id: EditionId): InventoryCheck[] {
  const edition = editions[id];
  return [...receptacleRules(edition), ...groundFaultRules(edition), ...siteRules(edition)];
}

/** Pedestals and feeders of a valid inventory against one edition of the code; each finding names its clause and mark. */
export function reviewInventory(index: InventoryIndex, id: EditionId): Review {
  const rules = reviewRules(id).map(({ name, looksFor, check }) => ({ name, looksFor, findings: check(index) }));
  const notAssessed = rules.flatMap(({ findings }) => findings.filter(({ level }) => level === 'confirm'));
  return { edition: id, editionName: editions[id].name, rules, notAssessed };
}
