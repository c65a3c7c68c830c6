import type { z } from 'zod';
import { electricalCautions } from '../../core/cautions.ts';
import type { LoadBasis } from '../../core/electrical/demand/demand-of-part.ts';
import { type LoadInUse, loadsInUse } from '../../core/electrical/network/loads-in-use.ts';
import { marinaFlow } from '../../core/electrical/network/marina-flow.ts';
import type { InventoryIndex } from '../../core/inventory/index-inventory.ts';
import { practiceOf } from '../berth-options/question.ts';
import type { Tx } from '../db/client.ts';
import { requirePart } from '../demand/read-demand.ts';
import { partToApi, practiceToApi } from '../demand/schema.ts';
import { loadPresent } from '../occupancy/overstays.ts';
import type { voltsSchema } from './schema.ts';

export interface AskedVolts {
  readonly index: InventoryIndex;
  readonly revision: number;
  /** Epoch milliseconds. */
  readonly at: number;
  /** Null: the basis by which the marina refuses. */
  readonly basis: LoadBasis | null;
  readonly now: number;
}

/** Volts and amperes of a whole marina at a moment, with everything in use that is stored as in use then. */
export async function readVolts(
  db: Tx,
  marinaId: string,
  { index, revision, at, basis: asked, now }: AskedVolts,
): Promise<z.output<typeof voltsSchema>> {
  const basis = asked ?? index.inventory.settings.refusingBasis;
  const practice = practiceOf(index);
  const { outletUses } = await loadPresent(db, marinaId, index, { now, period: { from: at, until: at + 1 } });
  const { loads, shares } = loadsInUse(index, practice, outletUses, basis);
  const flow = marinaFlow(
    index,
    loads.map(({ load }) => load),
  );
  return {
    at: new Date(at).toISOString(),
    inventoryRevision: revision,
    basis,
    practice: basis === 'rated' ? practiceToApi(practice) : null,
    status: flow.status,
    problems: [...flow.problems],
    parts: flow.parts.map(({ equipmentId, volts, currents, ...part }) => ({
      ...partToApi(requirePart(index, equipmentId)),
      ...part,
      volts: [...volts],
      currents: [...currents],
    })),
    pedestals: flow.pedestals.map(({ pedestalId, assessment, volts }) => {
      const pedestal = index.pedestals.get(pedestalId);
      const { label = pedestalId, dockId = '', alongDockM = null } = pedestal ?? {};
      return { pedestalId, label, dockId, alongDockM, assessment, volts: [...volts] };
    }),
    outlets: flow.outlets.map(({ outletId, assessment, volts, currents }) => {
      const { label = outletId, pedestalId = '' } = index.outlets.get(outletId) ?? {};
      return { outletId, label, pedestalId, assessment, volts: [...volts], currents: [...currents] };
    }),
    worst: flow.worst,
    totals: flow.totals,
    loads: loads.map(loadToApi),
    shares: [...shares],
    assumptions: [...flow.assumptions, ...assumedOf(basis, loads)],
    findings: [...flow.findings],
    cautions: [...electricalCautions],
  };
}

function loadToApi({ outlet, by, from, load: { demand } }: LoadInUse) {
  return {
    outletId: outlet.id,
    usedBy: { ...by, kind: by.kind === 'holding' ? ('holding' as const) : ('assignment' as const) },
    from,
    share: demand.basis === 'rated' ? (demand.share ?? 1) : null,
    totalVa: demand.basis === 'spread' ? demand.totalVa : null,
  };
}

function assumedOf(basis: LoadBasis, loads: readonly LoadInUse[]): string[] {
  if (basis === 'rated') {
    return [
      'Every outlet in use draws its rating, times the share that the practice gives for the outlets in use on the same supply, and as many amperes at any volts.',
    ];
  }
  const assumed = loads.filter(({ from }) => from === 'rated').length;
  return [
    "Boats draw what they say, spread over their outlets' lines in equal amperes, as the same power at any volts.",
    ...(assumed === 0
      ? []
      : [
          `Of ${assumed} of ${loads.length} outlets in use nobody has said what is drawn: they draw their full rating.`,
        ]),
  ];
}
