/** The life of a stay, as people speak of it. */
export const stayStates = [
  'requested',
  'offered',
  'promised',
  'arrived',
  'departed',
  'cancelled',
  'turnedAway',
  'noShow',
] as const;
export type StayState = (typeof stayStates)[number];

export const stayCommands = [
  'assign',
  'offer',
  'promise',
  'move',
  'swap',
  'reschedule',
  'arrive',
  'depart',
  'cancel',
  'turnAway',
  'noShow',
] as const;
export type StayCommand = (typeof stayCommands)[number];

/** What decides besides the state. */
export interface StayFacts {
  readonly state: StayState;
  /** Whether any berth is kept for it, now or later. */
  readonly hasBerth: boolean;
  /** Until when its offer holds, epoch milliseconds; null unless it is offered. */
  readonly offerExpiresAt: number | null;
  /** From when on it may be called a no-show, epoch milliseconds. */
  readonly noShowFrom: number;
  readonly now: number;
  /** A moment as people at the marina say it. */
  readonly said: (at: number) => string;
}

/** Where a command leads, or why it makes no sense now and what to do instead. */
export type StayStep =
  | { readonly allowed: true; readonly state: StayState }
  | { readonly allowed: false; readonly reason: string };

const toCome: readonly StayState[] = ['requested', 'offered', 'promised'];

/** From which states a command is taken, and the state it leads to; `keep` leaves the state as it is. */
const steps: Readonly<Record<StayCommand, { readonly from: readonly StayState[]; readonly to: StayState | 'keep' }>> = {
  // A boat that lies here and lost its berth is assigned another: it stays arrived.
  assign: { from: [...toCome, 'arrived'], to: 'promised' },
  offer: { from: ['requested', 'offered'], to: 'offered' },
  promise: { from: ['offered'], to: 'promised' },
  move: { from: [...toCome, 'arrived'], to: 'keep' },
  swap: { from: ['offered', 'promised', 'arrived'], to: 'keep' },
  reschedule: { from: [...toCome, 'arrived'], to: 'keep' },
  arrive: { from: toCome, to: 'arrived' },
  depart: { from: ['arrived'], to: 'departed' },
  cancel: { from: toCome, to: 'cancelled' },
  // One that was displaced has a promise and no berth.
  turnAway: { from: toCome, to: 'turnedAway' },
  noShow: { from: toCome, to: 'noShow' },
};

/** Judges one command against a stay as it is. The same facts always give the same answer. */
export function stepOf(command: StayCommand, facts: StayFacts): StayStep {
  const { state, hasBerth, offerExpiresAt, noShowFrom, now, said } = facts;
  const { from, to } = steps[command];
  if (!from.includes(state)) return refuse(`The stay ${stateWords[state]}. ${advice(command, state)}`);
  if (command === 'turnAway' && hasBerth) {
    return refuse('The stay has a berth. Release that first, or cancel the stay.');
  }
  if (command === 'promise' && offerExpiresAt !== null && offerExpiresAt <= now) {
    return refuse(`The offer lapsed at ${said(offerExpiresAt)}. Offer a berth again.`);
  }
  if (command === 'promise' && !hasBerth) {
    return refuse('The offered berth is no longer kept: something displaced the stay. Assign it another berth.');
  }
  if (command === 'noShow' && now < noShowFrom) {
    return refuse(
      `It may still come: it is a no-show from ${said(noShowFrom)} on. Wait, or cancel it if it called off.`,
    );
  }
  if (state === 'arrived' && to === 'promised') return { allowed: true, state };
  return { allowed: true, state: to === 'keep' ? state : to };
}

/** Whether a stay is still to be served: it is to come or lies here. */
export function isOpen(state: string): boolean {
  return state === 'arrived' || toCome.some((open) => open === state);
}

const stateWords: Readonly<Record<StayState, string>> = {
  requested: 'is requested and has no promise yet',
  offered: 'is offered a berth and has not answered',
  promised: 'is promised a berth',
  arrived: 'has arrived',
  departed: 'has departed',
  cancelled: 'is cancelled',
  turnedAway: 'was turned away',
  noShow: 'was entered as a no-show',
};

function advice(command: StayCommand, state: StayState): string {
  if (!isOpen(state)) {
    if (command === 'arrive') return 'If its boat lies here, enter it where it was found.';
    return 'Enter a new stay, or undo the change that ended this one.';
  }
  if (state === 'arrived') {
    if (command === 'arrive') return 'Nothing is left to record; move it if it lies elsewhere.';
    if (command === 'offer' || command === 'promise') return 'It lies here: move or reschedule it instead.';
    return 'Record its departure instead.';
  }
  if (command === 'depart') return 'Record its arrival first, or cancel it.';
  if (command === 'promise') {
    return state === 'promised' ? 'Nothing is left to promise.' : 'Offer or assign it a berth first.';
  }
  if (command === 'offer') return 'Move it to another berth, or release its berth and offer another.';
  if (command === 'swap') return 'It has no berth to exchange: assign it one.';
  return 'Release its berth first, or cancel it.';
}

function refuse(reason: string): StayStep {
  return { allowed: false, reason };
}
