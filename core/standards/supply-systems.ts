import type { Source } from './source.ts';
import type { SupplySystem } from './supply-system.ts';

const ansi: Source = { title: 'ANSI C84.1, nominal system voltages', fromMemory: true };
const iec: Source = { title: 'IEC 60038, standard voltages', fromMemory: true };

const root3 = Math.sqrt(3);

/** The built-in supply systems. High-leg delta has its high leg on L2, at 208 V to neutral. */
export const supplySystems: readonly SupplySystem[] = [
  {
    id: '120/240-split-phase',
    name: '120/240 V split-phase, 3-wire',
    lines: [
      { name: 'L1', voltageV: 120, angleDeg: 0 },
      { name: 'L2', voltageV: 120, angleDeg: 180 },
    ],
    hasNeutral: true,
    frequencyHz: 60,
    source: ansi,
  },
  {
    id: '120-single-phase',
    name: '120 V single-phase, 2-wire',
    lines: [{ name: 'L1', voltageV: 120, angleDeg: 0 }],
    hasNeutral: true,
    frequencyHz: 60,
    source: ansi,
  },
  {
    id: '208Y/120',
    name: '208Y/120 V three-phase, 4-wire',
    lines: threePhase(120),
    hasNeutral: true,
    frequencyHz: 60,
    source: ansi,
  },
  {
    id: '480Y/277',
    name: '480Y/277 V three-phase, 4-wire',
    lines: threePhase(480 / root3),
    hasNeutral: true,
    frequencyHz: 60,
    source: ansi,
  },
  {
    id: '480-delta',
    name: '480 V three-phase, 3-wire',
    lines: threePhase(480 / root3),
    hasNeutral: false,
    frequencyHz: 60,
    source: ansi,
  },
  {
    id: '240/120-high-leg-delta',
    name: '240/120 V high-leg delta, 4-wire',
    lines: [
      { name: 'L1', voltageV: 120, angleDeg: 0 },
      { name: 'L2', voltageV: 120 * root3, angleDeg: 90 },
      { name: 'L3', voltageV: 120, angleDeg: 180 },
    ],
    hasNeutral: true,
    frequencyHz: 60,
    source: ansi,
  },
  {
    id: '230-single-phase',
    name: '230 V single-phase',
    lines: [{ name: 'L1', voltageV: 230, angleDeg: 0 }],
    hasNeutral: true,
    frequencyHz: 50,
    source: iec,
  },
  {
    id: '400Y/230',
    name: '400Y/230 V three-phase, 4-wire',
    lines: threePhase(230),
    hasNeutral: true,
    frequencyHz: 50,
    source: iec,
  },
];

function threePhase(lineToNeutralV: number): SupplySystem['lines'] {
  return [
    { name: 'L1', voltageV: lineToNeutralV, angleDeg: 0 },
    { name: 'L2', voltageV: lineToNeutralV, angleDeg: -120 },
    { name: 'L3', voltageV: lineToNeutralV, angleDeg: 120 },
  ];
}

const byId = new Map(supplySystems.map((system) => [system.id, system]));

/** The supply system with this id, or null where there is none. */
export function supplySystem(id: string): SupplySystem | null {
  return byId.get(id) ?? null;
}
