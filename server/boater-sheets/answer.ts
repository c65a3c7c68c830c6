import { isDeepStrictEqual } from 'node:util';
import type { Boat } from '../../core/boats.ts';
import type { Fact } from '../../core/facts.ts';
import { questionJudgements } from '../boats/question-judgements.ts';
import { requireAgreement, requireKnown } from '../boats/require-sound.ts';
import { boatFactsSchema, factsToApi } from '../boats/schema.ts';
import { raiseAlerts } from '../check-ins/raise-alerts.ts';
import { marinaTransaction } from '../db/marina-transaction.ts';
import { plainJson } from '../db/plain-json.ts';
import { Problem } from '../errors.ts';
import { invalid } from '../occupancy/berth-parts.ts';
import type { Services } from '../services.ts';
import { readStay } from '../stays/stored-stay.ts';
import { rejudge } from './rejudge.ts';
import type { Answers, Sheet } from './schema.ts';
import { behindLink, sheetNow } from './sheets.ts';

const toCome = ['requested', 'offered', 'promised'];

/**
 * Takes what a boater answers: the boat's facts, with origin boater, and the time of arrival. The stay is judged anew on
 * its berth and the desk alerted. What a dockhand has seen stands.
 * @throws Problem `not-found`, `wrong-state` once the boat is here, `invalid-input`
 */
export async function takeAnswers(
  services: Services,
  { secret, now, answers }: { readonly secret: string; readonly now: number; readonly answers: Answers },
): Promise<Sheet> {
  const { marinaId, stayId } = await behindLink(services, secret);
  const options = { marinaId, actor: `sheet:${stayId}`, kind: 'sheet.answered', now };
  await marinaTransaction(services.db, options, async ({ tx, recordChange }) => {
    const { index } = await services.inventories.inventoryOf(tx, marinaId);
    const { timeZone } = index.inventory;
    const stay = await readStay(tx, marinaId, stayId);
    if (!toCome.includes(stay.row.state)) {
      throw new Problem('wrong-state', 'The stay is not to come any more. Tell the people at the dock.');
    }
    const boat = withAnswers(stay.boat, answers, now);
    requireKnown(boatFactsSchema.parse(toldIn(answers)), index.inventory);
    requireAgreement(factsToApi(boat));
    if (!isDeepStrictEqual(boat, stay.boat)) {
      const { id, name, ...facts } = boat;
      await tx.boat.update({
        where: { marinaId_id: { marinaId, id } },
        data: { facts: plainJson(facts), version: { increment: 1 } },
      });
      await questionJudgements(tx, marinaId, { id, name }, { now, timeZone });
    }
    const arrival = arrivalOf(answers, stay.row.departureAt, now);
    // Later is no harm; to come earlier than the berth is kept is for the desk to grant.
    if (arrival !== null && arrival > stay.row.arrivalAt) {
      await tx.stay.update({
        where: { marinaId_id: { marinaId, id: stayId } },
        data: { arrivalAt: arrival, version: { increment: 1 } },
      });
    }
    const judged = await rejudge({ services, tx, marinaId, index }, { ...stay, boat }, now);
    const early = arrival !== null && arrival < stay.row.arrivalAt;
    const words = judged.map(({ berthLabel, before, after }) => `Berth ${berthLabel}: ${before}, now ${after}.`);
    await raiseAlerts(tx, marinaId, now, [
      {
        kind: 'boaterAnswered',
        stayId,
        message: [
          `${stay.boat.name} has answered.`,
          ...words,
          ...(early ? [`It would like to arrive earlier, at ${arrival.toISOString()}: grant it or call.`] : []),
        ].join(' '),
        findings: judged.flatMap(({ findings }) => findings.filter(({ level }) => level !== 'note')),
      },
    ]);
    await recordChange(plainJson({ boat: stay.boatRow, stay: stay.row }), plainJson({ stayId, answers, judged }));
  });
  return sheetNow(services, marinaId, stayId, now);
}

function arrivalOf({ arrival }: Answers, departureAt: Date, now: number): Date | null {
  if (arrival === null) return null;
  const at = new Date(arrival);
  if (at.getTime() < now) throw invalid('/arrival', 'That moment is past. Give one to come.');
  if (at >= departureAt) throw invalid('/arrival', 'That is after the stay ends. Call the marina.');
  return at;
}

/** The answers as facts, to be looked at for what does not exist. */
function toldIn({ inlets, cordSets, adapterKindIds }: Answers) {
  const fact = <T>(value: T | null) => (value === null ? null : { value, origin: 'boater' as const });
  return {
    inlets: inlets.map(({ id, configurationId }) => ({ id, configurationIds: fact([configurationId]) })),
    cordSets: fact(cordSets?.map((cord, position) => ({ id: `K${position + 1}`, ...cord })) ?? null),
    adapterKindIds: fact(adapterKindIds),
  };
}

function withAnswers(boat: Boat, answers: Answers, at: number): Boat {
  const told = <T>(value: T | null, before: Fact<T> | null): Fact<T> | null =>
    value === null || before?.origin === 'dockhand' ? before : { value, origin: 'boater', at };
  const known = boat.inlets.map((inlet) => {
    const answer = answers.inlets.find(({ id }) => id === inlet.id);
    return answer === undefined
      ? inlet
      : { ...inlet, configurationIds: told([answer.configurationId], inlet.configurationIds) };
  });
  const added = answers.inlets.filter(({ id }) => !boat.inlets.some((inlet) => inlet.id === id));
  const cords = answers.cordSets?.map((cord, position) => ({ id: `K${position + 1}`, ...cord })) ?? null;
  return {
    ...boat,
    wantsPower: told(answers.wantsPower, boat.wantsPower),
    frequenciesHz: told(answers.frequenciesHz, boat.frequenciesHz),
    cordSets: told(cords, boat.cordSets),
    adapterKindIds: told(answers.adapterKindIds, boat.adapterKindIds),
    neutralBond: told(answers.neutralBond, boat.neutralBond ?? null),
    ownSupplies: told(answers.ownSupplies, boat.ownSupplies ?? null),
    inlets: [
      ...known,
      ...added.map(({ id, configurationId }) => ({
        id,
        configurationIds: told<readonly string[]>([configurationId], null),
        mainBreakerA: null,
        fromBowM: null,
        side: null,
        duty: null,
        needsLineToLine: null,
      })),
    ],
  };
}
