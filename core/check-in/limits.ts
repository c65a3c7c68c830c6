import type { Source } from '../standards/source.ts';

/** Shares of the nominal volts: within `clear` all is well, within `bearable` a caution, beyond it refused. */
export interface VoltsBand {
  readonly clear: readonly [least: number, most: number];
  readonly bearable: readonly [least: number, most: number];
  readonly source: Source;
}

const ansi: VoltsBand = {
  clear: [0.95, 1.05],
  bearable: [0.9, 1.05],
  source: {
    title: 'ANSI C84.1 range A: service 114-126 V, utilization not below 108 V, on a nominal 120 V',
    fromMemory: true,
  },
};

const iec: VoltsBand = {
  clear: [0.9, 1.1],
  bearable: [0.9, 1.1],
  source: { title: 'IEC 60038: 230 V within 10 %', fromMemory: true },
};

export function voltsBand(frequencyHz: 50 | 60): VoltsBand {
  return frequencyHz === 50 ? iec : ansi;
}

/** Above the first, a caution; above the second the neutral is open, or line and neutral are exchanged. */
export const neutralToGround = {
  cautionV: 2,
  refuseV: 5,
  source: {
    title: 'common practice: at an unloaded outlet a sound neutral stands within 2 V of ground',
    fromMemory: false,
  } satisfies Source,
} as const;

/** How far two readings of sound wiring may differ: meter and supply move. Judgement; no published figure was found. */
export const meterToleranceV = 4;

export const polaritySource: Source = {
  title: 'the three volts between line, neutral and ground of one outlet obey the triangle inequality (Kirchhoff)',
  fromMemory: false,
};

/** From here on a current can hold fast whoever it passes through. */
export const waterCurrentMa = 5;
export const waterCurrentSource: Source = { title: 'IEC 60479-1: let-go threshold, 5 mA of AC', fromMemory: true };
