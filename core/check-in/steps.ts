import type { Source } from '../standards/source.ts';

/** What the person at the dock does at one step: the page puts the entry of that kind beside it. */
export type StepTask = 'testOutlet' | 'lookAtFittings' | 'act' | 'confirm' | 'measureLeakage';

export interface Step {
  readonly id: string;
  readonly text: string;
  readonly task: StepTask;
  readonly source: Source;
}

const practice: Source = { title: 'common practice', fromMemory: false };
const loadsOff: Source = {
  title: 'common practice: a plug is never made or broken under load, and the boat end is never live in a hand',
  fromMemory: false,
};

/**
 * Connecting, in the only right order: the outlet is proved before anything is in it, the boat end is in before the dock
 * end, and nothing carries load while it is plugged in.
 */
export const connectSteps: readonly Step[] = [
  {
    id: 'testOutlet',
    text: 'Test the outlet with its breaker on and nothing in it: volts line to neutral, line to line, line to ground, neutral to ground; see which line it is. Breaker off again.',
    task: 'testOutlet',
    source: practice,
  },
  {
    id: 'fittings',
    text: 'Look at every fitting: outlet, both ends of the cord, inlet, adapter.',
    task: 'lookAtFittings',
    source: practice,
  },
  { id: 'boatMainOff', text: "Boat's main breaker off.", task: 'act', source: loadsOff },
  { id: 'boatEnd', text: 'Boat end of the cord into the inlet; turn and secure it.', task: 'act', source: loadsOff },
  { id: 'outletBreakerOff', text: 'See that the breaker at the pedestal is off.', task: 'act', source: loadsOff },
  {
    id: 'dockEnd',
    text: 'Dock end (or the adapter) into the outlet, by hand; turn to lock. What does not go in by hand is the wrong plug.',
    task: 'act',
    source: practice,
  },
  { id: 'mayEnergise', text: 'Read the verdict. Go on only where it says so.', task: 'confirm', source: practice },
  { id: 'outletBreakerOn', text: 'Breaker at the pedestal on.', task: 'act', source: practice },
  {
    id: 'boatMainOn',
    text: "See that the boat's reverse-polarity light is dark, then its main breaker on.",
    task: 'act',
    source: practice,
  },
  {
    id: 'measure',
    text: 'Clamp lines and neutral together, without the ground; then all conductors with the ground. Loads on.',
    task: 'measureLeakage',
    source: practice,
  },
  {
    id: 'shutDown',
    text: 'Refused: boat main off, pedestal breaker off, dock end out, boat end out. Tell the desk.',
    task: 'act',
    source: loadsOff,
  },
];

/** Disconnecting: the reverse order. */
export const disconnectSteps: readonly Step[] = [
  { id: 'boatMainOff', text: "Loads off, then the boat's main breaker off.", task: 'act', source: loadsOff },
  { id: 'outletBreakerOff', text: 'Breaker at the pedestal off.', task: 'act', source: loadsOff },
  { id: 'dockEnd', text: 'Dock end out of the outlet.', task: 'act', source: loadsOff },
  { id: 'boatEnd', text: 'Boat end out of the inlet.', task: 'act', source: loadsOff },
  {
    id: 'fittings',
    text: 'Look at the outlet and the adapter for heat marks; close the lid; take back what was lent.',
    task: 'lookAtFittings',
    source: practice,
  },
];
