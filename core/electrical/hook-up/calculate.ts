import type { AcceptedSupply, CordSet, Inlet, IsolationTransformer, NeutralBond, OwnSupply } from '../../boats.ts';
import type { Fact, MaybeFact } from '../../facts.ts';
import type { Equipment, GroundFault } from '../../inventory/inventory.ts';
import type { AdapterKind } from '../../standards/adapter-kind.ts';
import { adapterKinds } from '../../standards/adapter-kinds.ts';
import type { LineName } from '../../standards/configuration.ts';
import { supplySystem } from '../../standards/supply-systems.ts';
import type { AvailableAdapter } from './available-adapter.ts';
import { answerCircuit, type CalculatorLoad, type CircuitAnswer } from './circuit/answer-circuit.ts';
import { findHookUps } from './find-hook-ups.ts';
import type { HookUp, HookUpBoat, JudgedHookUp } from './hook-up.ts';
import { judgedHookUp } from './judge.ts';
import type { SupplyOutlet } from './supply-outlet.ts';

/** An outlet as an engineer describes it for the calculator. Null is unknown. */
interface CalculatorOutlet {
  readonly id: string;
  readonly configurationId: string;
  readonly systemId: string | null;
  readonly lines: readonly LineName[] | null;
  readonly breakerA: number | null;
  readonly groundFault: GroundFault;
  readonly earthing: Equipment['earthing'];
  /** Outlets of one transformer or service carry the same word here; null where unknown. */
  readonly supplyId: string | null;
}

interface CalculatorInlet {
  readonly id: string;
  readonly configurationIds: readonly string[] | null;
  readonly mainBreakerA: number | null;
  readonly duty: 'house' | 'airConditioning' | 'charger' | 'notPower' | null;
  readonly needsLineToLine: boolean | null;
  readonly transformer: IsolationTransformer | 'none' | null;
  readonly accepts: AcceptedSupply | null;
}

export interface HookUpCalculation {
  readonly outlets: readonly CalculatorOutlet[];
  readonly inlets: readonly CalculatorInlet[];
  readonly frequenciesHz: readonly number[] | null;
  readonly neutralBond: NeutralBond | null;
  readonly ownSupplies: readonly OwnSupply[] | null;
  /** Loads to solve each circuit with; null: each leg at what its breakers pass. */
  readonly loads: readonly CalculatorLoad[] | null;
  readonly cordSets: readonly CordSet[] | null;
  /** Adapters at hand, by kind: a built-in one or one of `ownAdapterKinds`. */
  readonly adapterKindIds: readonly string[];
  readonly ownAdapterKinds: readonly AdapterKind[];
  readonly refuseCordBelowBreaker: boolean;
  /** The joints to judge; null: search for the best ways, `most` of them. */
  readonly hookUp: HookUp | null;
  readonly most: number;
}

export interface HookUpCalculationResult {
  /** Best first; the one judged where joints were given. */
  readonly hookUps: readonly (JudgedHookUp & { readonly circuit: CircuitAnswer })[];
  readonly findings: readonly JudgedHookUp['findings'][number][];
  readonly truncated: boolean;
}

/**
 * The stateless hook-up calculator: judges the joints given, or finds the best ones.
 *
 * @example
 * calculateHookUp({ outlets: [outlet], inlets: [inlet], frequenciesHz: [60], cordSets: [cord], adapterKindIds: [],
 *   ownAdapterKinds: [], neutralBond: 'none', ownSupplies: [], loads: null, refuseCordBelowBreaker: false, hookUp: null,
 *   most: 3 })
 */
export function calculateHookUp(input: HookUpCalculation): HookUpCalculationResult {
  const outlets = input.outlets.map(asSupplyOutlet);
  const kinds = new Map([...adapterKinds, ...input.ownAdapterKinds].map((kind) => [kind.id, kind] as const));
  const boat = asBoat(input);
  const { refuseCordBelowBreaker, most, hookUp, loads } = input;
  const context = {
    boat,
    outlets: new Map(outlets.map((each) => [each.id, each])),
    adapterKinds: kinds,
    refuseCordBelowBreaker,
  };
  const solved = (judged: JudgedHookUp) => ({ ...judged, circuit: answerCircuit(judged.hookUp, context, loads) });
  if (hookUp !== null) {
    const judged = judgedHookUp(hookUp, context);
    return { hookUps: [solved(judged)], findings: [], truncated: false };
  }
  const adapters = input.adapterKindIds.map((kindId): AvailableAdapter => {
    return { kindId, from: 'aboard', stockId: null, quantity: 1 };
  });
  const found = findHookUps({ boat, outlets, adapters, adapterKinds: kinds, refuseCordBelowBreaker, most });
  return { ...found, hookUps: found.hookUps.map(solved) };
}

function asSupplyOutlet(outlet: CalculatorOutlet): SupplyOutlet {
  const { systemId, ...given } = outlet;
  const system = systemId === null ? null : supplySystem(systemId);
  return { ...given, label: outlet.id, system, devicesAbove: [] };
}

function asBoat(input: HookUpCalculation): HookUpBoat {
  return {
    id: 'boat',
    name: 'The boat',
    wantsPower: stated(true),
    frequenciesHz: stated(input.frequenciesHz),
    cordSets: stated(input.cordSets),
    adapterKindIds: stated(input.adapterKindIds),
    neutralBond: stated(input.neutralBond),
    ownSupplies: stated(input.ownSupplies),
    inlets: input.inlets.map((inlet): Inlet => {
      return {
        id: inlet.id,
        configurationIds: stated(inlet.configurationIds),
        mainBreakerA: stated(inlet.mainBreakerA),
        fromBowM: null,
        side: null,
        duty: stated(inlet.duty),
        needsLineToLine: stated(inlet.needsLineToLine),
        transformer: stated(inlet.transformer),
        accepts: stated(inlet.accepts),
      };
    }),
  };
}

/** The calculator's caller states facts; when is no matter of the computation. */
function stated<T>(value: T | null): MaybeFact<T> {
  if (value === null) return null;
  const fact: Fact<T> = { value, origin: 'dockhand', at: 0 };
  return fact;
}
