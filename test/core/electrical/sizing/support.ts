import type { SizingInput } from '../../../../core/electrical/sizing/sizing.ts';

/** A copper feeder with every fact known: 75 C insulation and terminals, 30 C, three conductors, 120/240 V. */
export function circuit(given: Partial<SizingInput>): SizingInput {
  return {
    subject: { kind: 'equipment', id: 'feeder', label: 'Feeder' },
    loadA: 100,
    continuousA: 0,
    neutralA: null,
    voltageV: 240,
    phases: 1,
    powerFactor: 0.9,
    lengthM: 1,
    material: 'copper',
    wiring: 'raceway',
    conduit: 'pvc',
    insulationC: 75,
    terminalsC: 75,
    ambientC: 30,
    currentCarrying: 3,
    conductorC: 75,
    maxDropPercent: null,
    mostParallelSets: 4,
    given: null,
    ...given,
  };
}
