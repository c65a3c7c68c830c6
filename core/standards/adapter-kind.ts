import type { Terminal } from './configuration.ts';
import type { Source } from './source.ts';

/**
 * An adapter as data: fittings on the dock's side (`plugs`), fittings on the boat's side (`connectors`), and the
 * conductors between their terminals. A contact that no conductor joins is open.
 */
export interface AdapterKind {
  readonly id: string;
  readonly name: string;
  readonly plugs: readonly AdapterFitting[];
  readonly connectors: readonly AdapterFitting[];
  readonly conductors: readonly AdapterConductor[];
  /** True where a device aboard the adapter opens every plug when one of them is dead or unplugged. */
  readonly interlock: boolean;
  readonly source: Source;
}

export interface AdapterFitting {
  /** Unique within the adapter: `P1`, `P2`, `C1`. */
  readonly id: string;
  readonly configurationId: string;
}

export interface AdapterConductor {
  readonly from: { readonly fitting: string; readonly terminal: Terminal };
  readonly to: { readonly fitting: string; readonly terminal: Terminal };
  readonly ratedA: number;
  readonly ratedV: number;
  /** Amperes of a breaker built into this conductor; null where there is none. */
  readonly breakerA: number | null;
}
