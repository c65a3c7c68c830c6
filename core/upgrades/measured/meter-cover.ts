import { lineAmperes, type Phasors } from '../../electrical/demand/channels.ts';
import { loadModel } from '../../electrical/demand/load-model.ts';
import { balancedVolts } from '../../electrical/demand/nominal-volts.ts';
import type { InventoryIndex } from '../../inventory/index-inventory.ts';
import type { Equipment } from '../../inventory/inventory.ts';

export type MeterQuantity = 'energyKwh' | 'demandKw' | 'demandKva' | 'amperes' | 'registerKwh';

export interface Meter {
  readonly id: string;
  /** What it measures: one outlet, all outlets of a pedestal, or a part of the distribution equipment. */
  readonly subjectKind: 'outlet' | 'pedestal' | 'equipment';
  readonly subjectId: string;
  readonly quantity: MeterQuantity;
  readonly intervalMinutes: number;
  /** Of what it measures; null: not known, then that of the assumptions. */
  readonly powerFactor: number | null;
}

/** How a reading counts: VA of the whole and A on each line, for one unit of its value. */
export interface MeterWeight {
  readonly meterId: string;
  /** 0: of the whole; 1 to 3: of that line. */
  readonly line: number;
  /** 1 on the one line that counts the meter as having read, 0 on its others. */
  readonly counts: 0 | 1;
  /** The part of the equipment that it is summed at first. */
  readonly nodeId: string;
  readonly va: number;
  readonly a1: number;
  readonly a2: number;
  readonly a3: number;
}

export interface PartCover {
  readonly equipmentId: string;
  /** Nodes whose sums make up the part. */
  readonly nodeIds: readonly string[];
  readonly meterIds: readonly string[];
  readonly unmeteredOutletIds: readonly string[];
  /** False above a transformer: lines are other lines there, so only VA is summed. */
  readonly linesKnownNodeIds: readonly string[];
}

export interface MeterCover {
  readonly weights: readonly MeterWeight[];
  readonly parts: readonly PartCover[];
  readonly assumptions: readonly string[];
}

/**
 * Which meters make up the load of which part. The meter nearest to a part counts: a metered feeder counts for itself and
 * for everything above it, and the outlets' meters below it only for what lies between.
 *
 * A node is a metered part (`id`), or the outlets and pedestals metered below one part (`below:id`).
 */
export function meterCover(index: InventoryIndex, meters: readonly Meter[], assumedPowerFactor: number): MeterCover {
  const model = loadModel(index);
  const own = new Map<string, Meter>();
  const ofOutlet = new Map<string, Meter>();
  const ofPedestal = new Map<string, Meter>();
  for (const meter of meters) {
    if (meter.subjectKind === 'equipment') own.set(meter.subjectId, meter);
    else (meter.subjectKind === 'outlet' ? ofOutlet : ofPedestal).set(meter.subjectId, meter);
  }
  const assumptions = new Set<string>();
  const weights: MeterWeight[] = [];
  const nodeOfMeter = new Map<string, string>();
  const weigh = (meter: Meter, nodeId: string, part: Equipment, perVa: readonly number[] | null) => {
    if (nodeOfMeter.has(meter.id)) return;
    nodeOfMeter.set(meter.id, nodeId);
    weights.push(...weightsOf(meter, nodeId, model.phasors(part), perVa, assumedPowerFactor, assumptions));
  };
  for (const [id, meter] of own) {
    const part = index.equipment.get(id);
    if (part !== undefined) weigh(meter, id, part, null);
  }
  const unmetered = new Set<string>();
  const metersBelow = new Map<string, Set<string>>();
  for (const outlet of index.inventory.outlets) {
    const { path, rating, loads } = model.outletLoad(outlet);
    const [feeding] = path;
    if (feeding === undefined) continue;
    const meter = ofOutlet.get(outlet.id) ?? ofPedestal.get(outlet.pedestalId);
    if (meter === undefined) {
      unmetered.add(outlet.id);
      continue;
    }
    const phasors = model.phasors(feeding);
    const full = loads[0];
    const isOutlet = ofOutlet.get(outlet.id) === meter;
    const perVa =
      isOutlet && rating !== null && full !== undefined && phasors !== null
        ? [0, 1, 2].map((line) =>
            phasors.lines.includes(line) ? lineAmperes(phasors, full, line) / rating.leastVa : 0,
          )
        : null;
    weigh(meter, `below:${feeding.id}`, feeding, perVa);
    metersBelow.set(feeding.id, (metersBelow.get(feeding.id) ?? new Set()).add(meter.id));
  }
  const children = new Map<string, Equipment[]>();
  for (const part of index.inventory.equipment) {
    if (part.parentId !== null) children.set(part.parentId, [...(children.get(part.parentId) ?? []), part]);
  }
  const directOutlets = new Map<string, string[]>();
  for (const outlet of index.inventory.outlets) {
    const feeding = index.pathOfOutlet.get(outlet.id)?.[0];
    if (feeding !== undefined) directOutlets.set(feeding.id, [...(directOutlets.get(feeding.id) ?? []), outlet.id]);
  }
  const coverOf = (part: Equipment): PartCover => {
    const mine = own.get(part.id);
    if (mine !== undefined) {
      return {
        equipmentId: part.id,
        nodeIds: [part.id],
        meterIds: [mine.id],
        unmeteredOutletIds: [],
        linesKnownNodeIds: [part.id],
      };
    }
    const below = metersBelow.get(part.id);
    const node = below === undefined ? [] : [`below:${part.id}`];
    const inner = (children.get(part.id) ?? []).map((child) => ({ child, cover: coverOf(child) }));
    return {
      equipmentId: part.id,
      nodeIds: [...node, ...inner.flatMap(({ cover }) => cover.nodeIds)],
      meterIds: [...(below ?? []), ...inner.flatMap(({ cover }) => cover.meterIds)],
      unmeteredOutletIds: [
        ...(directOutlets.get(part.id) ?? []).filter((id) => unmetered.has(id)),
        ...inner.flatMap(({ cover }) => cover.unmeteredOutletIds),
      ],
      linesKnownNodeIds: [
        ...node,
        ...inner.flatMap(({ child, cover }) => (model.passage(child) === null ? cover.linesKnownNodeIds : [])),
      ],
    };
  };
  return { weights, parts: index.inventory.equipment.map(coverOf), assumptions: [...assumptions] };
}

function weightsOf(
  meter: Meter,
  nodeId: string,
  phasors: Phasors | null,
  perVa: readonly number[] | null,
  assumedPowerFactor: number,
  assumptions: Set<string>,
): MeterWeight[] {
  const { id: meterId, quantity } = meter;
  const isPower = quantity !== 'demandKva' && quantity !== 'amperes';
  if (isPower && meter.powerFactor === null)
    assumptions.add(`Meters that read kW or kWh without a power factor: ${assumedPowerFactor} is assumed.`);
  const vaPerKw = 1000 / (isPower ? (meter.powerFactor ?? assumedPowerFactor) : 1);
  const perUnit = quantity === 'energyKwh' ? (vaPerKw * 60) / meter.intervalMinutes : vaPerKw;
  const row = (line: number, counts: 0 | 1, va: number, amperes: readonly number[]): MeterWeight => ({
    meterId,
    line,
    counts,
    nodeId,
    va,
    a1: amperes[0] ?? 0,
    a2: amperes[1] ?? 0,
    a3: amperes[2] ?? 0,
  });
  if (quantity === 'amperes') {
    const lines = [0, 1, 2].filter((line) => (phasors?.channelV[line] ?? 0) > 0);
    const used = lines.filter((line) => perVa === null || (perVa[line] ?? 0) > 0);
    return lines.map((line) =>
      row(
        line + 1,
        line === used[0] ? 1 : 0,
        phasors?.channelV[line] ?? 0,
        [0, 1, 2].map((each) => (each === line ? 1 : 0)),
      ),
    );
  }
  if (perVa === null && phasors !== null) {
    assumptions.add(
      'A meter of a pedestal, feeder or service that reads no amperes by line is taken as evenly loaded: its most loaded line may carry more.',
    );
  }
  const balanced =
    phasors === null
      ? [0, 0, 0]
      : [0, 1, 2].map((line) => (phasors.lines.includes(line) ? 1 / balancedVolts(phasors) : 0));
  return [
    row(
      0,
      1,
      perUnit,
      (perVa ?? balanced).map((each) => each * perUnit),
    ),
  ];
}
