import type { EquipmentKind } from '../../../core/inventory/inventory.ts';

/** Widest line drawn: a part at its limit. */
const fullPx = 12;

/** Weight of a line by the share of its limit that it carries. */
export function weightOf(share: number): number {
  return 1.5 + (fullPx - 1.5) * Math.min(1, Math.max(0, share));
}

/** A stretch of line as heavy as its load; dashed where nothing is known of its limits. */
export function LineWeight({ share }: { readonly share: number | null }) {
  return (
    <svg class="line" viewBox="0 0 10 10" preserveAspectRatio="none" aria-hidden="true" focusable="false">
      <path
        d="M5 0V10"
        vector-effect="non-scaling-stroke"
        stroke-width={share === null ? 3 : weightOf(share)}
        stroke-dasharray={share === null ? '5 5' : undefined}
      />
    </svg>
  );
}

const shapes: Readonly<Record<EquipmentKind, readonly string[]>> = {
  // Incoming supply.
  service: ['M15 0V30', 'M8 8L15 18L22 8'],
  // Transformer with two windings (IEC 60617, 06-09-01).
  transformer: ['M15 0V4', 'M15 26V30', 'M9 11A6 6 0 1 0 21 11A6 6 0 1 0 9 11', 'M9 19A6 6 0 1 0 21 19A6 6 0 1 0 9 19'],
  // A bus.
  panelboard: ['M15 0V30', 'M1 15H29M1 16.5H29M1 18H29'],
  // Circuit breaker (IEC 60617, 07-13-05).
  feeder: ['M15 0V7', 'M12 4L18 10M18 4L12 10', 'M15 30V23L8 9'],
  branchCircuit: ['M15 0V7', 'M12 4L18 10M18 4L12 10', 'M15 30V23L8 9'],
};

export function EquipmentSymbol({ kind }: { readonly kind: EquipmentKind }) {
  return (
    <svg class="symbol" viewBox="0 0 30 30" width="30" height="30" aria-hidden="true" focusable="false">
      {shapes[kind].map((d) => (
        <path key={d} d={d} />
      ))}
    </svg>
  );
}

export type OutletUse = 'free' | 'inUse' | 'outOfService';

/** A socket outlet (IEC 60617, 11-13-01): filled in use, struck out of service. */
export function OutletSymbol({ use }: { readonly use: OutletUse }) {
  return (
    <svg class={`socket ${use}`} viewBox="0 0 20 14" width="20" height="14" aria-hidden="true" focusable="false">
      <path d="M3 13A7 7 0 0 1 17 13Z" />
      <path d="M10 6V1" />
      {use === 'outOfService' && <path d="M2 1L18 13" />}
    </svg>
  );
}
