import type { Inlet } from '../../../../../core/boats.ts';
import { buildCircuit } from '../../../../../core/electrical/hook-up/circuit/build-circuit.ts';
import type { HookUpCircuit } from '../../../../../core/electrical/hook-up/circuit/circuit.ts';
import { loadAt } from '../../../../../core/electrical/hook-up/circuit/load-cases.ts';
import type { HookUp, HookUpContext } from '../../../../../core/electrical/hook-up/hook-up.ts';
import type { SupplyOutlet } from '../../../../../core/electrical/hook-up/supply-outlet.ts';
import type { LoadElement } from '../../../../../core/electrical/power-flow/network.ts';
import type { AdapterKind } from '../../../../../core/standards/adapter-kind.ts';
import { boat, contextOf, fact, hookUp, inlet, kindsById, outlet, request } from '../support.ts';

export interface Solvable {
  readonly circuit: HookUpCircuit;
  readonly loads: readonly LoadElement[];
  readonly open: ReadonlySet<string>;
}

/** Ohms by port (`I1 L1-N`). */
type Ohms = Readonly<Record<string, number>>;

export function circuitOf(built: HookUp, context: HookUpContext): HookUpCircuit {
  const circuit = buildCircuit(built, context);
  if (circuit === null) throw new Error('lines or systems are unknown');
  return circuit;
}

export function resistors(circuit: HookUpCircuit, ohms: Ohms): LoadElement[] {
  return Object.entries(ohms).map(([id, resistanceOhm]) => {
    const port = circuit.ports.find((each) => each.id === id);
    if (port === undefined) throw new Error(`no port ${id}: ${circuit.ports.map((each) => each.id).join(', ')}`);
    return loadAt(port, { model: 'constantImpedance', resistanceOhm, reactanceOhm: 0 });
  });
}

function solvable(
  outlets: readonly SupplyOutlet[],
  kindId: string | null,
  inlets: readonly Inlet[],
  ohms: Ohms,
  given: {
    readonly built?: HookUp;
    readonly kinds?: ReadonlyMap<string, AdapterKind>;
    readonly open?: readonly string[];
    readonly bonded?: boolean;
  } = {},
): Solvable {
  const bond = given.bonded === true ? { neutralBond: fact('always' as const) } : {};
  const context = { ...contextOf(request(boat(inlets, bond), outlets)), adapterKinds: given.kinds ?? kindsById };
  const first = inlets[0];
  if (first === undefined) throw new Error('no inlet');
  const circuit = circuitOf(given.built ?? hookUp(outlets, kindId, first), context);
  return { circuit, loads: resistors(circuit, ohms), open: new Set(given.open ?? []) };
}

const l1 = outlet('a', 'L5-30', ['L1']);
const l2 = outlet('b', 'L5-30', ['L2']);
const alsoL1 = outlet('d', 'L5-30', ['L1']);
const both = outlet('c', 'SS2-50', ['L1', 'L2']);
const i30 = inlet('I1', 'L5-30');
const i50 = inlet('I1', 'SS2-50');
const combiner = 'combiner-2xL5-30-to-SS2-50';

function withoutConductors(kindId: string, terminal: 'N' | 'L2'): ReadonlyMap<string, AdapterKind> {
  const kind = kindsById.get(kindId);
  if (kind === undefined) throw new Error(`no kind ${kindId}`);
  return new Map([[kindId, { ...kind, conductors: kind.conductors.filter(({ to }) => to.terminal !== terminal) }]]);
}

const splitter = 'splitter-SS2-50-to-2xL5-30';
const twoInlets: HookUp = {
  adapters: [{ ref: 'A1', kindId: splitter, from: 'aboard', stockId: null }],
  joints: [
    { from: { kind: 'outlet', outletId: 'c' }, to: { kind: 'plug', adapter: 'A1', fitting: 'P1' } },
    ...(['C1', 'C2'] as const).map((fitting, i) => ({
      from: { kind: 'connector' as const, adapter: 'A1', fitting },
      to: { kind: 'inlet' as const, inletId: `I${i + 1}`, configurationId: 'L5-30' },
    })),
  ],
};
const inARow: HookUp = {
  adapters: [
    { ref: 'A1', kindId: 'step-down-PS-100-125-250-to-SS2-50', from: 'aboard', stockId: null },
    { ref: 'A2', kindId: 'step-down-SS2-50-to-L5-30', from: 'aboard', stockId: null },
  ],
  joints: [
    { from: { kind: 'outlet', outletId: 'p' }, to: { kind: 'plug', adapter: 'A1', fitting: 'P1' } },
    {
      from: { kind: 'connector', adapter: 'A1', fitting: 'C1' },
      to: { kind: 'plug', adapter: 'A2', fitting: 'P1' },
    },
    {
      from: { kind: 'connector', adapter: 'A2', fitting: 'C1' },
      to: { kind: 'inlet', inletId: 'I1', configurationId: 'L5-30' },
    },
  ],
};
const transformer = (place: 'aboard' | 'dockBox') =>
  ({ transformer: fact({ place, primaryV: 240, secondaryV: 240, legs: 2 as const, ratedVa: 12_000 }) }) as const;

/** Hook-ups with loads of resistance alone, in every kind of trouble. */
export const circuits: Readonly<Record<string, Solvable>> = {
  'one leg, straight in': solvable([l1], null, [i30], { 'I1 L1-N': 4 }),
  'two equal legs': solvable([both], null, [i50], { 'I1 L1-N': 4, 'I1 L2-N': 4 }),
  'unequal legs and a load between them': solvable([both], null, [i50], {
    'I1 L1-N': 3,
    'I1 L2-N': 20,
    'I1 L1-L2': 12,
  }),
  'one leg alone of two': solvable([both], null, [i50], { 'I1 L2-N': 2.4 }),
  'a broken neutral': solvable(
    [outlet('e', 'L14-30', ['L1', 'L2'])],
    'step-up-L14-30-to-SS2-50',
    [i50],
    { 'I1 L1-N': 6, 'I1 L2-N': 24 },
    { kinds: withoutConductors('step-up-L14-30-to-SS2-50', 'N') },
  ),
  '208Y/120 with a 240 V load': solvable([outlet('w', 'SS2-50', ['L2', 'L3'], { systemId: '208Y/120' })], null, [i50], {
    'I1 L1-N': 8,
    'I1 L2-N': 5,
    'I1 L1-L2': 9,
  }),
  'the high leg of a delta': solvable(
    [outlet('h', 'PS-100-120/208-4P5W', ['L1', 'L2', 'L3'], { systemId: '240/120-high-leg-delta' })],
    null,
    [inlet('I1', 'PS-100-120/208-4P5W')],
    { 'I1 L1-N': 6, 'I1 L2-N': 9, 'I1 L1-L3': 11 },
  ),
  'a combiner on two lines': solvable([l1, l2], combiner, [i50], { 'I1 L1-N': 4, 'I1 L2-N': 12, 'I1 L1-L2': 30 }),
  'a combiner on one line twice': solvable([l1, alsoL1], combiner, [i50], {
    'I1 L1-N': 4,
    'I1 L2-N': 6,
    'I1 L1-L2': 12,
  }),
  'a combiner with a plug pulled': solvable(
    [l1, l2],
    combiner,
    [i50],
    { 'I1 L1-N': 4, 'I1 L2-N': 12, 'I1 L1-L2': 30 },
    { open: ['contact A1.P2.L1', 'contact A1.P2.N', 'contact A1.P2.G'] },
  ),
  'a combiner with the neutral in one path': solvable(
    [l1, l2],
    combiner,
    [i50],
    { 'I1 L1-N': 4, 'I1 L2-N': 12 },
    { open: ['contact A1.P1.N'] },
  ),
  'one line on both legs': solvable([l1], 'single-leg-bridged-L5-30-to-SS2-50', [i50], {
    'I1 L1-N': 8,
    'I1 L2-N': 10,
    'I1 L1-L2': 12,
  }),
  'a leg left open and back-fed': solvable([l1], 'single-leg-open-L5-30-to-SS2-50', [i50], {
    'I1 L1-N': 10,
    'I1 L2-N': 14.4,
    'I1 L1-L2': 12.8,
  }),
  'a splitter for two inlets': solvable(
    [both],
    null,
    [i30, inlet('I2', 'L5-30')],
    { 'I1 L1-N': 4, 'I2 L1-N': 7 },
    { built: twoInlets },
  ),
  'two adapters in a row': solvable(
    [outlet('p', 'PS-100-125/250-3P4W', ['L1', 'L2'])],
    null,
    [i30],
    { 'I1 L1-N': 4.2 },
    { built: inARow },
  ),
  'neutral and ground joined aboard': solvable([both], null, [i50], { 'I1 L1-N': 4, 'I1 L2-N': 9 }, { bonded: true }),
  'three lines of 400 V': solvable(
    [outlet('t', 'IEC-32-3P+N+E-400-6h', ['L1', 'L2', 'L3'], { systemId: '400Y/230', earthing: 'TT' })],
    null,
    [inlet('I1', 'IEC-32-3P+N+E-400-6h')],
    { 'I1 L1-N': 9, 'I1 L2-N': 14, 'I1 L3-N': 60, 'I1 L1-L3': 40 },
  ),
  'a transformer aboard without neutral': solvable(
    [outlet('x', 'L6-30', ['L1', 'L2'])],
    null,
    [inlet('I1', 'L6-30', transformer('aboard'))],
    { 'I1 L1-N': 6, 'I1 L2-N': 18, 'I1 L1-L2': 25 },
  ),
  'a transformer in the dock box': solvable([both], null, [inlet('I1', 'SS2-50', transformer('dockBox'))], {
    'I1 L1-N': 4,
    'I1 L2-N': 11,
  }),
};
