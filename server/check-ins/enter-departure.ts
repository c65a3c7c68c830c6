import { plainJson } from '../db/plain-json.ts';
import { leaveBerth } from '../stays/leave-berth.ts';
import { loadStay } from '../stays/stored-stay.ts';
import { type Entered, type EventContext, nothingEntered } from './event-context.ts';
import { keepOut, takeBack } from './loans.ts';
import type { DeskAlert } from './raise-alerts.ts';
import type { BodyOf, Contradiction } from './schema.ts';
import { unknownStay } from './unknown-stay.ts';

/** The boat has left: its berth is free after the turnover, its outlets at once; what it was lent is back, or overdue. */
export async function enterDeparture(context: EventContext, body: BodyOf<'departure'>): Promise<Entered> {
  const { tx, marinaId, index, at } = context;
  const stay = await loadStay(tx, marinaId, body.stayId);
  if (stay === null) return { ...nothingEntered, ...unknownStay(body.stayId) };
  const { row, boat, assignments } = stay;
  const contradictions: Contradiction[] = [];
  if (row.state !== 'arrived')
    contradictions.push({
      about: 'stay',
      dock: 'left',
      desk: row.state,
      message: `The dock says that ${boat.name} has left; at the desk its stay is ${row.state}.`,
    });
  const out = await tx.adapterLoan.findMany({ where: { marinaId, stayId: row.id, returnedAt: null } });
  await leaveBerth(tx, index, stay, at);
  for (const { loanId, note } of body.adaptersBack) {
    const isHeld = out.some(({ id }) => id === loanId);
    const loan = await takeBack(tx, marinaId, { loanId, at, note });
    if (loan === null || !isHeld)
      contradictions.push({
        about: 'adapters',
        dock: `${loanId} is back`,
        desk: 'not lent to this boat, or back already',
        message: `The dock took back adapter loan ${loanId}, which ${boat.name} did not have at the desk.`,
      });
  }
  const missing = await keepOut(tx, marinaId, { stayId: row.id, assignments, at });
  const labels = missing.map(({ stockId }) => index.adapterStock.get(stockId)?.label ?? stockId);
  const alerts: DeskAlert[] =
    missing.length === 0
      ? []
      : [
          {
            kind: 'adapterMissing',
            stayId: row.id,
            message: `${boat.name} has left with ${labels.join(', ')} of the dock. Call ${row.contactName}.`,
            findings: [],
          },
        ];
  return {
    ...nothingEntered,
    stayId: row.id,
    boatId: boat.id,
    contradictions,
    alerts,
    before: plainJson({ stay: row, assignments }),
  };
}
