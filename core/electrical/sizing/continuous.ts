import type { Source } from '../../standards/source.ts';

/** Share by which the part of a load that runs for three hours or more is raised for breaker and conductor. */
export const continuousShare = 0.25;
export const continuousSource: Source = {
  title: 'NEC 210.20(A), 215.2 and 215.3, 125 % of continuous loads',
  fromMemory: true,
};
