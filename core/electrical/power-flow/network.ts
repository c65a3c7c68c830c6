/**
 * The document that a power flow reads: terminals joined by elements, in sinusoidal steady state at one frequency.
 *
 * A terminal is any name; it exists because an element names it. `"0"` is ground, at 0 V. Volts and amperes are rms,
 * angles are in degrees, reactances and susceptances are at the network's frequency, and positive reactive power is
 * lagging. An impedance is a resistance and a reactance, an admittance a conductance and a susceptance. Every element's
 * id is its own in the whole network.
 */
export interface PowerFlowNetwork {
  readonly elements: readonly PowerFlowElement[];
}

/** The terminal at 0 V. */
export const groundTerminal = '0';

export type PowerFlowElement =
  | SourceElement
  | LineElement
  | ImpedanceElement
  | SwitchElement
  | TransformerElement
  | AdmittanceElement
  | LoadElement;

/** An ideal source: V(plus) - V(minus) is fixed. Put an impedance in series for a source that is not stiff. */
export interface SourceElement {
  readonly kind: 'source';
  readonly id: string;
  readonly plus: string;
  readonly minus: string;
  readonly voltageV: number;
  readonly angleDeg: number;
}

/**
 * Conductors side by side, coupled: V(from) - V(to) = Z * I, with I flowing from `from` to `to`. The matrices are the
 * totals for the whole length, row and column in the order of `conductors`. A conductor with both ends on one terminal
 * (a neutral grounded at both ends) is allowed and carries what is induced in it.
 */
export interface LineElement {
  readonly kind: 'line';
  readonly id: string;
  readonly conductors: readonly LineConductor[];
  readonly resistanceOhm: readonly (readonly number[])[];
  readonly reactanceOhm: readonly (readonly number[])[];
}

export interface LineConductor {
  /** Unlike the other conductors of the line (`L1`, `n`). */
  readonly name: string;
  readonly from: string;
  readonly to: string;
  /** What the conductor or its protection may carry; without it no loading is given. */
  readonly ratedA?: number;
}

/** One impedance: a contact, a cord conductor, an earth rod, a neutral resistor. Zero ohms is an ideal link. */
export interface ImpedanceElement {
  readonly kind: 'impedance';
  readonly id: string;
  readonly from: string;
  readonly to: string;
  readonly resistanceOhm: number;
  readonly reactanceOhm: number;
  readonly ratedA?: number;
}

/** One pole of a switch, a breaker or a plug: an ideal link when closed, nothing when open. */
export interface SwitchElement {
  readonly kind: 'switch';
  readonly id: string;
  readonly from: string;
  readonly to: string;
  readonly closed: boolean;
  readonly ratedA?: number;
}

/**
 * Windings on one ideal core. For each winding V(plus) - V(minus) = z * I + ratedV * E, with I flowing into `plus` and
 * one E for the whole unit; the sum of ratedV * I is the core's own current (0 without `core`). A three-phase bank is
 * three units; a centre tap is two windings, (leg 1, n) and (n, leg 2).
 */
export interface TransformerElement {
  readonly kind: 'transformer';
  readonly id: string;
  readonly windings: readonly TransformerWinding[];
  readonly core?: TransformerCore;
}

export interface TransformerWinding {
  /** Unlike the other windings of the unit (`h`, `x1`). */
  readonly name: string;
  readonly plus: string;
  readonly minus: string;
  readonly ratedV: number;
  /** Leakage impedance of this winding, on its own side. */
  readonly resistanceOhm: number;
  readonly reactanceOhm: number;
  /** What this winding is rated for; without it no loading is given. */
  readonly ratedVa?: number;
}

/** No-load loss and magnetizing current as one admittance, on the side of the winding named. */
export interface TransformerCore {
  readonly winding: string;
  /** `idealCore`: behind the leakage impedance; `windingTerminals`: across that winding's terminals. */
  readonly at: 'idealCore' | 'windingTerminals';
  readonly conductanceS: number;
  /** Negative for a magnetizing current. */
  readonly susceptanceS: number;
}

/**
 * A linear device: I = Y * V over its ports, with I flowing into each port's `plus` and out of its `minus`. One port is
 * a shunt (capacitor, reactor, filter); three coupled ports can be a motor at a fixed slip.
 */
export interface AdmittanceElement {
  readonly kind: 'admittance';
  readonly id: string;
  readonly ports: readonly AdmittancePort[];
  readonly conductanceS: readonly (readonly number[])[];
  readonly susceptanceS: readonly (readonly number[])[];
}

export interface AdmittancePort {
  readonly name: string;
  readonly plus: string;
  readonly minus: string;
}

/** A load between any two terminals; its current flows from `from` through the load to `to`. */
export interface LoadElement {
  readonly kind: 'load';
  readonly id: string;
  readonly from: string;
  readonly to: string;
  readonly demand: LoadDemand;
}

export type LoadDemand =
  /** The same power at any voltage. Negative power is generation. */
  | { readonly model: 'constantPower'; readonly powerW: number; readonly reactivePowerVar: number }
  /** The amperes and power factor of this power at `ratedV`, at any voltage. */
  | {
      readonly model: 'constantCurrent';
      readonly powerW: number;
      readonly reactivePowerVar: number;
      readonly ratedV: number;
    }
  | { readonly model: 'constantImpedance'; readonly resistanceOhm: number; readonly reactanceOhm: number };
