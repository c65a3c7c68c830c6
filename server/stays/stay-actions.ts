import { type AssignmentDocument, assignmentSchema } from '../assignments/schema.ts';
import { type PageInput, seeOther } from '../pages/define-page.ts';
import type { Fields } from '../pages/fields.ts';
import { type StayDocument, staySchema, stayWithAssignmentsSchema } from './schema.ts';
import { endedStaySchema, type WaitingStay } from './waiting-list.ts';

/** How long an offer is kept for the answer. */
const offerHours = 24;

export type StayInput = PageInput<
  { readonly marinaId: string; readonly stayId: string },
  { readonly other?: '1' | undefined },
  unknown
>;

type Placing = 'assignStay' | 'moveStay' | 'offerStay';

/** A step of the stay's life that takes nothing but the moment. */
export async function step(
  operation: 'promiseStay' | 'arriveStay',
  { api, params }: StayInput,
  fields: Fields,
): Promise<ReturnType<typeof seeOther>> {
  const body = operation === 'arriveStay' ? { at: null } : undefined;
  await api.ask(operation, staySchema, { params: { stayId: params.stayId }, version: versionOf(fields), body });
  return seeOther(stayPath(params));
}

/** Ends the stay; answers who on the waiting list fits what it had. */
export async function end(
  operation: 'departStay' | 'noShowStay' | 'cancelStay',
  { api, params }: StayInput,
  fields: Fields,
): Promise<readonly WaitingStay[]> {
  const body = operation === 'departStay' ? { at: null } : undefined;
  const asked = { params: { stayId: params.stayId }, version: versionOf(fields), body };
  return (await api.ask(operation, endedStaySchema, asked)).body.nowFits;
}

export function place(operation: Placing, input: StayInput, fields: Fields) {
  const [fromM, untilM] = [fields.text('fromM'), fields.text('untilM')];
  return placeAt(operation, input, fields, {
    berthId: fields.text('berthId') ?? '',
    orientation: fields.text('orientation'),
    place: fromM === null || untilM === null ? null : { fromM: Number(fromM), untilM: Number(untilM) },
  });
}

export async function placeAt(
  operation: Placing,
  { api, params, now }: StayInput,
  fields: Fields,
  placement: Readonly<Record<string, unknown>>,
) {
  const { body } = await api.ask('readStay', stayWithAssignmentsSchema, { params: { stayId: params.stayId } });
  const more =
    operation === 'moveStay'
      ? movedFrom(body.assignments, body.stay, now)
      : operation === 'offerStay'
        ? { expiresAt: new Date(now + offerHours * 3_600_000).toISOString() }
        : {};
  await api.ask(operation, assignmentSchema, {
    params: { stayId: params.stayId },
    version: versionOf(fields),
    body: { ...placement, ...more },
  });
  return seeOther(stayPath(params));
}

/** A boat that lies there already moves from now on; one that is to come, from its arrival. */
export function movedFrom(
  held: readonly AssignmentDocument[],
  stay: StayDocument,
  now: number,
): { readonly from?: string } {
  const isThere = held.length > 0 && Date.parse(stay.arrival) < now;
  return isThere ? { from: new Date(now).toISOString() } : {};
}

export function versionOf(fields: Fields): number | null {
  const version = fields.text('version');
  return version === null ? null : Number(version);
}

export function stayPath({ marinaId, stayId }: StayInput['params']): string {
  return `/marinas/${marinaId}/stays/${stayId}`;
}
