import type { Source } from '../../standards/source.ts';

export const terminalSource: Source = { title: 'NEC 110.14(C), temperature limits of terminals', fromMemory: true };
export const parallelSource: Source = {
  title: 'NEC 310.10(G), conductors in parallel from 1/0 AWG on',
  fromMemory: true,
};
export const smallConductorSource: Source = { title: 'NEC 240.4(D), small conductors', fromMemory: true };
export const cordProtectionSource: Source = {
  title: 'NEC 240.5(A), a flexible cord is protected at its ampacity',
  fromMemory: true,
};
export const dropSource: Source = {
  title: 'NFPA 70, informational notes to 210.19 and 215.2: advice, not a rule',
  fromMemory: false,
};
