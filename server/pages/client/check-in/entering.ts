import type { ShiftStay } from '../../../check-ins/shift-document.ts';
import type { Dock } from './context.ts';
import type { Draft } from './draft.ts';

/** What the parts of a check-in's sheet share. */
export interface Entering {
  readonly dock: Dock;
  readonly stay: ShiftStay;
  readonly draft: Draft;
  readonly change: (part: Partial<Draft>) => void;
}
