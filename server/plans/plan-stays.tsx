import type { ComponentChild } from 'preact';
import type { z } from 'zod';
import type { InventoryIndex } from '../../core/inventory/index-inventory.ts';
import type { FormState } from '../pages/fields.ts';
import { StayLink } from '../pages/parts/stay-link.tsx';
import { dayText, type View } from '../pages/view.ts';
import type { StayDocument } from '../stays/schema.ts';
import { stoppedByText } from './plan-words.ts';
import type { PlanDocument, planResultSchema } from './schema.ts';

export type Result = z.output<typeof planResultSchema>;
export type Placement = Result['placements'][number];

export interface OutcomeProps {
  readonly view: View;
  readonly form: FormState;
  readonly index: InventoryIndex;
  /** `/marinas/north`. */
  readonly base: string;
  readonly plan: PlanDocument;
  readonly result: Result;
  /** Stays of the period by id. */
  readonly stays: ReadonlyMap<string, StayDocument>;
  /** Where a stay is today, in words. */
  readonly today: ReadonlyMap<string, string>;
  readonly mayAccept: boolean;
  readonly mayAskAgain: boolean;
}

type OfStay = Pick<OutcomeProps, 'view' | 'stays' | 'base' | 'index' | 'result'> & { readonly stayId: string };

/** A stay that is only supposed has an id and no boat. */
export function Name({ stays, stayId }: OfStay) {
  return <>{stays.get(stayId)?.boatName ?? stayId}</>;
}

/** A boat's name, leading to its stay. */
export function Boat({ stays, base, stayId }: OfStay): ComponentChild {
  const stay = stays.get(stayId);
  return stay === undefined ? stayId : <StayLink base={base} stay={stay} />;
}

export function Dates({ view, stays, stayId }: OfStay) {
  const stay = stays.get(stayId);
  if (stay === undefined) return null;
  return <>{view.texts.desk.fromTo(dayText(view, stay.arrival), dayText(view, stay.departure))}</>;
}

/** The rules that kept a stay from the berths. */
export function Stops({ view, index, result, stayId }: OfStay) {
  const stops = result.unplaced.find((each) => each.stayId === stayId)?.stoppedBy ?? [];
  if (stops.length === 0) return <p>{view.texts.plan.nothingStops}</p>;
  return (
    <ul>
      {stops.map((stop) => (
        <li key={`${stop.rule} ${stop.subject}`}>
          {stoppedByText(view, index, stop)} <code>{stop.rule}</code>
        </li>
      ))}
    </ul>
  );
}
