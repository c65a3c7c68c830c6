import { plainJson } from '../db/plain-json.ts';
import { outletSubject } from '../occupancy/displace.ts';
import { enterFound } from '../occupancy/record-found.ts';
import { enterClosing } from '../out-of-service/write.ts';
import { type Entered, type EventContext, nothingEntered } from './event-context.ts';
import { takeBack } from './loans.ts';
import type { DeskAlert } from './raise-alerts.ts';
import type { BodyOf, Contradiction } from './schema.ts';
import { unknownStay } from './unknown-stay.ts';

interface Named {
  readonly stayId: string | null;
  readonly boatId: string | null;
  readonly boatName: string | null;
  readonly unknown: Pick<Entered, 'contradictions' | 'alerts'>;
}

const nobody: Named = { stayId: null, boatId: null, boatName: null, unknown: { contradictions: [], alerts: [] } };

async function named({ tx, marinaId }: EventContext, stayId: string | null): Promise<Named> {
  if (stayId === null) return nobody;
  const stay = await tx.stay.findUnique({ where: { marinaId_id: { marinaId, id: stayId } }, include: { boat: true } });
  if (stay === null) return { ...nobody, unknown: unknownStay(stayId) };
  return { ...nobody, stayId, boatId: stay.boatId, boatName: stay.boat.name };
}

/** An outlet that must not be used: out of service from then on, and whoever had it needs another. */
export async function enterOutletFault(context: EventContext, body: BodyOf<'outletFault'>): Promise<Entered> {
  const { services, tx, marinaId, index, now, at } = context;
  const { stayId, boatId, unknown } = await named(context, body.stayId);
  const entered = { ...nothingEntered, ...unknown, stayId, boatId, outletIds: [body.outletId] };
  if (!index.outlets.has(body.outletId)) return { ...entered, contradictions: [noOutlet(body.outletId)] };
  let before: unknown = null;
  const capture = async (was: unknown) => {
    before = was;
  };
  const closed = await enterClosing(
    services,
    { tx, recordChange: capture },
    {
      marinaId,
      now,
      input: {
        outletId: body.outletId,
        unitId: null,
        fromM: null,
        untilM: null,
        from: new Date(at).toISOString(),
        until: null,
        reason: body.note.trim() === '' ? 'burnt or damaged, reported from the dock' : firstLine(body.note),
      },
    },
  );
  const { label } = outletSubject(index, body.outletId);
  const lost = closed.displaced.map(({ boatName }) => boatName);
  const alert: DeskAlert = {
    kind: 'outletFault',
    stayId,
    message: `Outlet ${label} is out of service, reported from the dock.${lost.length === 0 ? '' : ` It was kept for ${lost.join(', ')}.`}`,
    findings: closed.displaced.flatMap(({ findings }) => findings),
  };
  return { ...entered, alerts: [...unknown.alerts, alert], before: plainJson(before) };
}

/** A boat that lies elsewhere than the desk thinks. */
export async function enterWrongBerth(context: EventContext, body: BodyOf<'wrongBerth'>): Promise<Entered> {
  const { services, tx, marinaId, index, now, at } = context;
  const stay = await named(context, body.stayId);
  const outletIds = body.outletIds?.filter((id) => index.outlets.has(id)) ?? null;
  const entered = {
    ...nothingEntered,
    ...stay.unknown,
    stayId: stay.stayId,
    boatId: stay.boatId,
    outletIds: outletIds ?? [],
  };
  const boatName = body.boatName ?? stay.boatName;
  if (!index.berths.has(body.berthId) || (stay.stayId === null && boatName === null)) {
    const message = `The dock names berth ${body.berthId}, and the desk cannot tell the place or the boat.`;
    const unclear = { about: 'berth', dock: body.berthId, desk: 'unknown', message };
    return { ...entered, contradictions: [...entered.contradictions, unclear] };
  }
  let before: unknown = null;
  const capture = async (was: unknown) => {
    before = was;
  };
  const found = await enterFound(
    services,
    { tx, recordChange: capture },
    {
      marinaId,
      now,
      input: {
        berthId: body.berthId,
        fromM: body.fromM,
        untilM: body.untilM,
        at: new Date(at).toISOString(),
        ...(stay.stayId === null ? { boat: { name: boatName ?? '' } } : { stayId: stay.stayId }),
        ...(outletIds === null ? {} : { outletIds }),
      },
    },
  );
  const label = index.berths.get(body.berthId)?.label ?? body.berthId;
  const alert: DeskAlert = {
    kind: 'wrongBerth',
    stayId: found.stayId,
    message: `"${boatName ?? ''}" lies on berth ${label}.${found.displaced.length === 0 ? '' : ` ${found.displaced.map((each) => `"${each.boatName}"`).join(', ')} must be housed elsewhere.`}`,
    findings: found.assignment.findings,
  };
  return {
    ...entered,
    stayId: found.stayId,
    boatId: found.boatId,
    findings: found.assignment.findings,
    alerts: [...entered.alerts, alert],
    before: plainJson(before),
  };
}

/** A trip or a hot contact, against outlet and boat: counted, and shown at the desk. */
export async function enterTrouble(context: EventContext, body: BodyOf<'trip' | 'hotContact'>): Promise<Entered> {
  const { index } = context;
  const { stayId, boatId, boatName, unknown } = await named(context, body.stayId);
  const isKnown = index.outlets.has(body.outletId);
  const { label } = outletSubject(index, body.outletId);
  const what = body.kind === 'trip' ? 'tripped' : 'has a hot contact';
  const mend = body.kind === 'trip' ? 'Find the cause before it is switched on again.' : 'Shut it down and look at it.';
  const alert: DeskAlert = {
    kind: 'trouble',
    stayId,
    message: `Outlet ${label} ${what}${boatName === null ? '' : ` with ${boatName} on it`}. ${mend}`,
    findings: [],
  };
  return {
    ...nothingEntered,
    stayId,
    boatId,
    outletIds: [body.outletId],
    contradictions: [...unknown.contradictions, ...(isKnown ? [] : [noOutlet(body.outletId)])],
    alerts: [...unknown.alerts, alert],
  };
}

/** A piece that comes back by itself, after its boat has left or while it is here. */
export async function enterAdapterBack(context: EventContext, body: BodyOf<'adapterBack'>): Promise<Entered> {
  const { tx, marinaId, at } = context;
  const loan = await takeBack(tx, marinaId, { loanId: body.loanId, at, note: body.note === '' ? null : body.note });
  if (loan !== null) {
    const { stayId, boatId } = await named(context, loan.stayId);
    return { ...nothingEntered, stayId, boatId, before: plainJson({ loan }) };
  }
  const message = `The dock took back adapter loan ${body.loanId}, which is not out at the desk.`;
  return {
    ...nothingEntered,
    contradictions: [{ about: 'adapters', dock: `${body.loanId} is back`, desk: 'not out', message }],
  };
}

function noOutlet(outletId: string): Contradiction {
  const message = `The dock names outlet ${outletId}, which the inventory does not have.`;
  return { about: 'outlet', dock: outletId, desk: 'no such outlet', message };
}

function firstLine(text: string): string {
  return text
    .replaceAll(/\p{Cc}+/gu, ' ')
    .trim()
    .slice(0, 200);
}
