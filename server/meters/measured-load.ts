import { electricalCautions } from '../../core/cautions.ts';
import { peakDemand } from '../../core/electrical/demand/peak-demand.ts';
import { usualAssumptions } from '../../core/electrical/network/assumptions.ts';
import { existingLoad } from '../../core/upgrades/measured/existing-load.ts';
import { type Meter, meterCover } from '../../core/upgrades/measured/meter-cover.ts';
import { whyTheyDiffer } from '../../core/upgrades/measured/three-figures.ts';
import { practiceOf } from '../berth-options/question.ts';
import { loadOccupancy } from '../occupancy/load.ts';
import type { Services } from '../services.ts';
import { measuredPeaks } from './measured-peaks.ts';
import { loadNoteDocument } from './notes.ts';

export interface AskedMeasuredLoad {
  readonly from: number;
  readonly until: number;
  readonly intervalMinutes: number;
  readonly newLoadA: number;
  readonly largerOfHeatingAndCooling: boolean | null;
  readonly occupied: boolean | null;
}

/** Every part by its meters, by ratings in use and by what boats state, over one period; and why the three differ. */
export async function readMeasuredLoad({ db, inventories }: Services, marinaId: string, asked: AskedMeasuredLoad) {
  const { index } = await inventories.inventoryOf(db.prisma, marinaId);
  const stored = await db.prisma.meter.findMany({ where: { marinaId, retiredAt: null }, orderBy: { id: 'asc' } });
  const fits = (minutes: number) => minutes === asked.intervalMinutes;
  const meters = stored.filter(({ intervalMinutes }) => fits(intervalMinutes)) as readonly Meter[];
  const leftOut = stored
    .filter(({ intervalMinutes }) => !fits(intervalMinutes))
    .map(({ id, intervalMinutes }) => ({
      meterId: id,
      why: `It reads every ${intervalMinutes} min, and sums need one interval: ask for intervalMinutes=${intervalMinutes} to see it.`,
    }));
  const cover = meterCover(
    index,
    meters.map((meter) => (meter.quantity === 'registerKwh' ? { ...meter, quantity: 'demandKw' as const } : meter)),
    usualAssumptions.powerFactor,
  );
  const registers = meters.filter(({ quantity }) => quantity === 'registerKwh');
  const peaks = await measuredPeaks(
    db.pool,
    marinaId,
    asked,
    asked.intervalMinutes * 60_000,
    cover,
    new Set(registers.map(({ id }) => id)),
  );
  const peakOf = new Map(peaks.map((peak) => [peak.equipmentId, peak]));
  const coverOf = new Map(cover.parts.map((part) => [part.equipmentId, part]));
  const { outletUses } = await loadOccupancy(db.prisma, marinaId, asked);
  const anyStated = outletUses.some(({ statedVa }) => statedVa !== null);
  const demand = new Map(
    peakDemand(index, practiceOf(index), outletUses, asked).map((part) => [part.rated.equipmentId, part]),
  );
  const slots = Math.max(1, Math.floor((asked.until - asked.from) / (asked.intervalMinutes * 60_000)));
  const parts = index.inventory.equipment.map((part) => {
    const peak = peakOf.get(part.id);
    const covered = coverOf.get(part.id);
    const completeShare = (peak?.complete ?? 0) / slots;
    const unmeteredOutlets = covered?.unmeteredOutletIds.length ?? 0;
    const limits = [part.breakerA, part.conductorAmpacityA, part.busA].filter((limit) => limit !== null);
    const limitA = limits.length === 0 ? null : Math.min(...limits);
    const existing = existingLoad(
      {
        subject: { kind: 'equipment', id: part.id, label: part.label },
        from: asked.from,
        until: asked.until,
        intervalMinutes: asked.intervalMinutes,
        peakVa: peak?.peakVa ?? null,
        peakA: peak?.peakA ?? null,
        daysRead: peak?.daysRead ?? 0,
        completeShare,
        unmeteredOutlets,
        largerOfHeatingAndCooling: asked.largerOfHeatingAndCooling,
        occupied: asked.occupied,
      },
      asked.newLoadA,
      limitA,
    );
    const ratedVa = demand.get(part.id)?.rated.demandVa.value ?? 0;
    const statedVa = demand.get(part.id)?.stated.demandVa.value ?? 0;
    const measuredVa = peak?.peakVa ?? null;
    return {
      equipmentId: part.id,
      label: part.label,
      meterIds: covered?.meterIds ?? [],
      unmeteredOutlets,
      intervals: peak?.intervals ?? 0,
      completeShare,
      daysRead: peak?.daysRead ?? 0,
      peakVa: measuredVa,
      peakAt: peak?.peakAt == null ? null : new Date(peak.peakAt).toISOString(),
      peakA: peak?.peakA ?? null,
      limitA,
      method: existing.method,
      existingA: existing.existingA,
      totalA: existing.totalA,
      assessment: existing.assessment,
      ratedVa,
      statedVa,
      why: whyTheyDiffer(part.label, { ratedVa, statedVa, measuredVa, completeShare, unmeteredOutlets, anyStated }),
      findings: existing.findings,
    };
  });
  const notes = await db.prisma.loadNote.findMany({
    where: { marinaId, fromAt: { lt: new Date(asked.until) }, untilAt: { gt: new Date(asked.from) } },
    orderBy: [{ fromAt: 'asc' }, { id: 'asc' }],
    take: 1000,
  });
  return {
    from: new Date(asked.from).toISOString(),
    until: new Date(asked.until).toISOString(),
    intervalMinutes: asked.intervalMinutes,
    parts,
    assumptions: cover.assumptions,
    leftOut,
    notes: notes.map(loadNoteDocument),
    cautions: electricalCautions,
  };
}
