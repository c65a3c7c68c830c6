import type { Entered } from './event-context.ts';

/** An event of a stay that the marina does not have: kept, and shown to the desk. */
export function unknownStay(stayId: string): Pick<Entered, 'contradictions' | 'alerts'> {
  const message = `The dock entered something of a stay "${stayId}", which the desk does not have.`;
  return {
    contradictions: [{ about: 'stay', dock: stayId, desk: 'no such stay', message }],
    alerts: [],
  };
}
