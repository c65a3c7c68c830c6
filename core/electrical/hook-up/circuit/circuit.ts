import type { LineName } from '../../../standards/configuration.ts';
import type { LoadElement, PowerFlowElement, PowerFlowNetwork } from '../../power-flow/network.ts';
import type { SupplyOutlet } from '../supply-outlet.ts';

/**
 * One hook-up, or a part of it that hangs together, as a network: sources, contacts, adapter and cord conductors,
 * transformers aboard. Loads are added to it. It is the one description from which the service solves, and from which a
 * circuit simulator or a plain solver can be asked for the same.
 *
 * Terminals: `supply T1 208Y/120.L2` a line of a supply, `0` its neutral and ground, `A1.P1.N` a contact of an adapter's
 * plug, `I1.L1` a contact of an inlet, `I1.s1` the secondary of a transformer behind it. Every supply holds its nominal
 * volts: what the dock's own conductors lose is the power flow's to say.
 */
export interface HookUpCircuit {
  readonly elements: readonly PowerFlowElement[];
  /** Where loads hang, inlet by inlet: each leg to neutral, then each pair of legs. */
  readonly ports: readonly LoadPort[];
  /** Contacts of outlets that conduct, with the elements that carry their current. */
  readonly poles: readonly Pole[];
  /** Conductors of adapters and cords. */
  readonly conductors: readonly RatedConductor[];
  /** Adapters with more than one plug: what lies bare when one of them is pulled. */
  readonly plugs: readonly LoosePlug[];
  /** Contacts of adapter connectors that stand at volts, against the rating of the adapter. */
  readonly fittings: readonly RatedFitting[];
}

export interface LoadPort {
  /** `I1 L1-N`; unique in the circuit. */
  readonly id: string;
  readonly inletId: string;
  readonly legs: readonly [LineName, LineName | 'N'];
  readonly from: string;
  readonly to: string;
  /** Volts that the loads here are built for. */
  readonly ratedV: number;
  readonly lowestV: number;
  readonly highestV: number;
  /** `behind`: a transformer stands between the inlet and the load; `primary`: what hangs here is that transformer. */
  readonly transformer: 'none' | 'behind' | 'primary';
}

export interface Pole {
  readonly outlet: SupplyOutlet;
  readonly terminal: LineName | 'N' | 'G';
  readonly elementId: string;
}

export interface RatedConductor {
  readonly elementId: string;
  /** For people: `the cord set of inlet I1`, or the adapter's name. */
  readonly what: string;
  readonly inletId: string | null;
  readonly isNeutral: boolean;
  readonly ratedA: number;
}

export interface LoosePlug {
  readonly adapter: string;
  readonly kindId: string;
  readonly fitting: string;
  /** Elements that are open while the plug is out, and the contacts that lie bare. */
  readonly elementIds: readonly string[];
  readonly contacts: readonly string[];
  readonly interlock: boolean;
}

export interface RatedFitting {
  readonly kindId: string;
  readonly label: string;
  readonly contacts: readonly string[];
  readonly ratedV: number;
}

/** What is put together while a circuit is built. */
export interface CircuitParts {
  readonly elements: PowerFlowElement[];
  readonly ports: LoadPort[];
  readonly poles: Pole[];
  readonly conductors: RatedConductor[];
}

/** The circuit with loads on it and some elements open, as a network that any solver takes. */
export function networkOf(
  { elements }: HookUpCircuit,
  loads: readonly LoadElement[],
  open: ReadonlySet<string> = new Set(),
): PowerFlowNetwork {
  return { elements: [...elements.filter(({ id }) => !open.has(id)), ...loads] };
}
