import { faceGaps } from '../../core/berths/face-placement.ts';
import { exceeds, metres } from '../../core/berths/metres.ts';
import { toldValue } from '../../core/berths/told-value.ts';
import type { Finding, Subject } from '../../core/findings.ts';
import type { InventoryIndex } from '../../core/inventory/index-inventory.ts';
import type { Period } from '../../core/periods.ts';
import { boatOf } from '../boats/stored-boat.ts';
import type { Tx } from '../db/client.ts';
import type { Assignment } from '../db/generated/client.ts';
import { type BerthParts, invalid, partsOfBerth } from './berth-parts.ts';
import type { FoundInput } from './found-schema.ts';
import type { FoundBoat } from './found-stay.ts';

interface AskedPlace {
  readonly input: FoundInput;
  readonly boat: FoundBoat;
  readonly period: Period;
  /** What the boat has in the period. */
  readonly own: readonly Assignment[];
  /** Whoever enters it can be asked; a phone that was without signal cannot. */
  readonly mayAsk: boolean;
}

/**
 * Where a boat was found. On a face it takes its own metres: those said, else those that it has there already. Without
 * either they are asked for; where nobody can be asked it is put where it displaces nobody, if there is such a place, and
 * a finding asks where it lies.
 * @throws Problem `invalid-input` for metres that must be said
 */
export async function foundPlace(
  tx: Tx,
  marinaId: string,
  index: InventoryIndex,
  { input, boat, period, own, mayAsk }: AskedPlace,
): Promise<{ readonly place: BerthParts; readonly findings: readonly Finding[] }> {
  const asked = partsOfBerth(index, input.berthId, input);
  if (asked.range === null || input.fromM !== null || input.untilM !== null) return { place: asked, findings: [] };
  const stands = own.find(({ berthId, faceFromM }) => berthId === input.berthId && faceFromM !== null);
  if (stands !== undefined) {
    const range = { fromM: stands.faceFromM, untilM: stands.faceUntilM };
    return { place: partsOfBerth(index, input.berthId, range), findings: [] };
  }
  const { fromM, untilM } = asked.range;
  const label = asked.berth.label;
  const lengthM = toldValue(boatOf(boat).lengthOverallM);
  // As long as the berth, or longer: there is one place for it.
  if (lengthM !== null && !exceeds(untilM - fromM, lengthM)) return { place: asked, findings: [] };
  if (mayAsk) {
    throw invalid(
      '/fromM',
      `Berth ${label} is a face of ${metres(untilM - fromM)}: a boat takes its own metres of it, not those of the others. Give fromM and untilM, from which metre to which "${boat.name}" lies (${fromM} to ${untilM}).`,
    );
  }
  const uses = await tx.spaceUse.findMany({
    where: {
      marinaId,
      unitId: { in: asked.parts.map(({ unitId }) => unitId) },
      assignmentId: { not: null, notIn: own.map(({ id }) => id) },
      fromAt: { lt: new Date(period.until) },
      untilAt: { gt: new Date(period.from) },
    },
    select: { fromM: true, untilM: true },
  });
  const gaps = [...faceGaps(asked.range, uses, 0)].sort((a, b) => b.untilM - b.fromM - (a.untilM - a.fromM));
  const gap = gaps[0] ?? asked.range;
  const range = { fromM: gap.fromM, untilM: Math.min(gap.untilM, gap.fromM + (lengthM ?? untilM - fromM)) };
  const place = partsOfBerth(index, input.berthId, range);
  return { place, findings: [metresNotSaid(boat, label, range)] };
}

function metresNotSaid(
  boat: FoundBoat,
  label: string,
  { fromM, untilM }: { readonly fromM: number; readonly untilM: number },
): Finding {
  const subject: Subject = { kind: 'boat', id: boat.id, label: boat.name };
  const question = `From which metre of the face to which does "${boat.name}" lie?`;
  const kept = `${metres(fromM)} to ${metres(untilM)}`;
  return {
    rule: 'space.metresNotSaid',
    level: 'confirm',
    subject,
    actual: kept,
    limit: null,
    unit: null,
    source: 'space is never given twice: a boat takes as many metres as it is long',
    message: `Nobody has said on which metres of berth ${label} "${boat.name}" lies. ${kept} are kept for it meanwhile; what it really lies on may be given to another boat. ${question}`,
    missingFact: { subject, fact: 'place', question },
    mend: 'its metres, entered as it lies',
  };
}
