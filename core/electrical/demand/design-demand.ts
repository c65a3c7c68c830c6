import type { Finding } from '../../findings.ts';
import type { InventoryIndex } from '../../inventory/index-inventory.ts';
import type { Equipment, Outlet } from '../../inventory/inventory.ts';
import { configuration } from '../../standards/configurations.ts';
import type { DemandPractice } from '../../standards/demand-practice.ts';
import { citation } from '../../standards/source.ts';
import { addLoad, noLoad, wholeIndex } from './channels.ts';
import { doubtsOf, gaugeFindings, overLimit, round, subjectOfEquipment } from './demand-findings.ts';
import type { DemandOfPart } from './demand-of-part.ts';
import { type LoadModel, loadModel } from './load-model.ts';
import { assess, gaugeOf, isOver, limitChecks, lineAOf, measured } from './part-measures.ts';
import { type CountedReceptacle, type TableDemand, tableDemand } from './table-demand.ts';

export interface DesignOptions {
  /** Default: the marina's setting. */
  readonly countingBasis?: 'all' | 'mostLoadedLine';
  /** Apply the practice's sub-meter factor where every receptacle has its own energy meter. Default: no. */
  readonly subMeterFactor?: boolean;
}

/**
 * Design check of one part, or of every part: all shore-power receptacles below it, by the practice's table as printed.
 * General-purpose outlets (below 30 A and no shore power) are not in the table and are only named in a finding.
 * @throws Error when the equipment is not in the inventory.
 */
export function designDemand(
  index: InventoryIndex,
  practice: DemandPractice,
  equipmentId: string | null = null,
  options: DesignOptions = {},
): DemandOfPart[] {
  const model = loadModel(index);
  const pairs = receptaclePairs(index);
  const parts =
    equipmentId === null
      ? index.inventory.equipment
      : index.inventory.equipment.filter((part) => part.id === equipmentId);
  if (parts.length === 0 && equipmentId !== null) throw new Error(`no equipment "${equipmentId}" in the inventory`);
  return parts.map((part) => designOfPart(index, model, practice, part, pairs, options));
}

function designOfPart(
  index: InventoryIndex,
  model: LoadModel,
  practice: DemandPractice,
  part: Equipment,
  pairs: ReadonlySet<string>,
  options: DesignOptions,
): DemandOfPart {
  const below = index.outletsBelow.get(part.id) ?? [];
  const shorePower = below.filter(isForShorePower);
  const gauge = gaugeOf(part, model.phasors(part));
  const receptacles = shorePower.flatMap((outlet) => counted(model, outlet, part, pairs));
  const basis = options.countingBasis ?? index.inventory.settings.countingBasis;
  const table = tableDemand(practice, receptacles, gauge.phasors, basis);
  const subMeters = subMeterShare(practice, shorePower, options.subMeterFactor ?? false);

  const other = model.otherLoad(part);
  const load = noLoad();
  addLoad(load, table.demand, subMeters.share);
  addLoad(load, other);
  const measures = measured(gauge, load);
  const limits = limitChecks(gauge, measures);
  const doubts = doubtsOf(model, shorePower, part);
  const findings = [
    ...limits.filter(isOver).map((check) => overLimit(part, check, 'design', 'refuse', practice, null)),
    ...gaugeFindings(gauge),
    ...doubts,
    ...stepFinding(part, table, practice),
    ...generalPurposeFinding(part, below.length - shorePower.length),
    ...subMeters.finding(part),
  ];
  return {
    equipmentId: part.id,
    label: part.label,
    basis: 'design',
    receptacles: table.counted.length,
    connectedVa: table.connectedVa,
    appliedFactor: {
      countingBasis: table.countingBasis,
      count: table.count,
      factor: table.factor,
      countedVa: table.connectedVa,
      source: citation(practice.source),
    },
    otherLoadVa: other[wholeIndex] ?? 0,
    demandVa: load[wholeIndex] ?? 0,
    lineA: lineAOf(gauge, measures),
    limits,
    assessment: assess(gauge, limits, !doubts.some((doubt) => doubt.rule === 'demand.unknownLoad')),
    findings,
  };
}

/** NEC 555.33: shore power is 30 A at least. An unknown pattern is not left out: it makes the load unknown. */
function isForShorePower(outlet: Outlet): boolean {
  const pattern = configuration(outlet.configurationId);
  return pattern === null || pattern.shorePower || pattern.ratedA >= 30;
}

/** Outlets that are one of exactly two shore-power outlets dedicated to one slip. */
function receptaclePairs(index: InventoryIndex): ReadonlySet<string> {
  const bySlip = new Map<string, string[]>();
  for (const outlet of index.inventory.outlets) {
    if (outlet.dedicatedBerthId === null || !isForShorePower(outlet)) continue;
    const ofSlip = bySlip.get(outlet.dedicatedBerthId);
    if (ofSlip === undefined) bySlip.set(outlet.dedicatedBerthId, [outlet.id]);
    else ofSlip.push(outlet.id);
  }
  return new Set([...bySlip.values()].filter((ids) => ids.length === 2).flat());
}

function counted(
  model: LoadModel,
  outlet: Outlet,
  part: Equipment,
  pairs: ReadonlySet<string>,
): readonly CountedReceptacle[] {
  const { rating, path, loads } = model.outletLoad(outlet);
  const load = loads[path.indexOf(part)];
  if (rating === null || load === undefined) return [];
  return [{ load, nominalV: rating.nominalV, oneOfTwoAt: pairs.has(outlet.id) ? outlet.dedicatedBerthId : null }];
}

function stepFinding(part: Equipment, { step }: TableDemand, practice: DemandPractice): Finding[] {
  if (step === null) return [];
  const { count, demandVa, otherCount, otherDemandVa } = step;
  return [
    {
      rule: 'demand.step',
      level: 'caution',
      subject: subjectOfEquipment(part),
      actual: demandVa,
      limit: otherDemandVa,
      unit: 'VA',
      source: citation(practice.source),
      message: `The table has a step near "${part.label}": ${count} receptacles give ${round(demandVa)} VA, ${otherCount} give ${round(otherDemandVa)} VA. Plan for the larger figure.`,
    },
  ];
}

function generalPurposeFinding(part: Equipment, count: number): Finding[] {
  if (count === 0) return [];
  return [
    {
      rule: 'demand.generalPurpose',
      level: 'caution',
      subject: subjectOfEquipment(part),
      actual: count,
      limit: null,
      unit: null,
      source: 'NEC 555.33: shore power is 30 A at least',
      message: `"${part.label}" also feeds ${count} general-purpose outlets, which the demand table does not cover. Enter what they are used for as other load.`,
    },
  ];
}

function subMeterShare(practice: DemandPractice, outlets: readonly Outlet[], wanted: boolean) {
  const factor = practice.subMeterFactor;
  const without = outlets.filter((outlet) => !outlet.subMetered).length;
  const applies = factor !== null && outlets.length > 0 && without === 0;
  const finding = (part: Equipment): Finding[] => {
    if (factor === null || outlets.length === 0 || (!wanted && !applies)) return [];
    const message = applies
      ? `Every receptacle under "${part.label}" has its own energy meter: the practice's factor of ${factor} (from memory) ${wanted ? 'is applied' : 'could be applied and is not'}.`
      : `The practice's sub-meter factor is not applied to "${part.label}": ${without} of its receptacles have no energy meter of their own.`;
    return [
      {
        rule: 'demand.subMeters',
        level: applies ? 'note' : 'caution',
        subject: subjectOfEquipment(part),
        actual: applies && wanted ? factor : 1,
        limit: factor,
        unit: null,
        source: `${practice.source.title}, sub-meter factor (from memory)`,
        message,
      },
    ];
  };
  return { share: applies && wanted ? factor : 1, finding };
}
