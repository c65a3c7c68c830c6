import type { OutletUse } from '../../berths/occupancy.ts';
import type { Finding } from '../../findings.ts';
import type { InventoryIndex } from '../../inventory/index-inventory.ts';
import type { Equipment, Outlet } from '../../inventory/inventory.ts';
import type { Period } from '../../periods.ts';
import type { DemandPractice } from '../../standards/demand-practice.ts';
import { factorRows } from './admitted-counts.ts';
import { gaugeFindings, outletDoubts, overLimit, unknownLoad } from './demand-findings.ts';
import type { LimitKind, LoadBasis, PeakCheck } from './demand-of-part.ts';
import { loadModel, type OutletLoad } from './load-model.ts';
import { isOver } from './part-measures.ts';
import { type AddedUse, type PartSweep, peaksOf, sweepPart, usesByOutlet } from './part-sweep.ts';
import { peakChecks } from './peak-demand.ts';

/** The limit with the smallest share left, on the basis that refuses. */
export interface TightestLimit {
  readonly equipmentId: string;
  readonly label: string;
  readonly basis: LoadBasis;
  readonly limitKind: LimitKind;
  readonly winding: string | null;
  readonly actual: number;
  readonly limit: number;
  readonly unit: 'A' | 'kVA';
  /** `(limit - actual) / limit`; negative when over. */
  readonly marginShare: number;
  /** When the peak is first reached, epoch milliseconds. */
  readonly at: number;
}

export interface AdmissionJudgement {
  readonly findings: readonly Finding[];
  /** Null where no part above the outlets has a stated limit. */
  readonly tightest: TightestLimit | null;
}

export interface Admission {
  /**
   * What every part above the outlets would carry at its peak over the period with one more boat on them, all the time.
   * `statedVa`: what the boat says it draws over these outlets in all, spread over them by rating; null: their ratings.
   * @throws Error when an outlet is not in the inventory.
   */
  readonly judge: (outletIds: readonly string[], statedVa: number | null) => AdmissionJudgement;
}

/**
 * Prepares to judge one more boat over a period. Leave the boat's own uses out of `uses` when it moves. Parts are swept
 * when an outlet below them is first asked for; outlets alike in path, lines and pattern are judged once.
 */
export function prepareAdmission(
  index: InventoryIndex,
  practice: DemandPractice,
  uses: readonly OutletUse[],
  period: Period,
): Admission {
  const model = loadModel(index);
  const judgePart = partJudge(index, practice, uses, period);
  const judged = new Map<string, AdmissionJudgement>();

  const judgeLoads = (loads: readonly OutletLoad[], statedVa: number | null): AdmissionJudgement => {
    const key = `${loads.map(({ classId }) => classId).sort((a, b) => a - b)} ${statedVa}`;
    const found = judged.get(key);
    if (found !== undefined) return found;
    const ratedVa = loads.reduce((sum, { rating }) => sum + (rating?.leastVa ?? 0), 0);
    const statedShare = statedVa === null || ratedVa === 0 ? 1 : statedVa / ratedVa;
    const findings = new Map<string, Finding>();
    let tightest: TightestLimit | null = null;
    for (const part of new Set(loads.flatMap(({ path }) => path))) {
      const ofPart = judgePart(part, loads, statedShare);
      for (const [said, finding] of ofPart.findings) if (!findings.has(said)) findings.set(said, finding);
      if (ofPart.tightest !== null && (tightest === null || ofPart.tightest.marginShare < tightest.marginShare)) {
        tightest = ofPart.tightest;
      }
    }
    const judgement = { findings: [...findings.values()], tightest };
    judged.set(key, judgement);
    return judgement;
  };

  return {
    judge: (outletIds, statedVa) => {
      const outlets = outletIds.map((id) => outletOf(index, id));
      const judgement = judgeLoads(outlets.map(model.outletLoad), statedVa);
      const doubts = new Map<string, Finding>();
      for (const outlet of outlets) {
        for (const doubt of ownDoubts(index, outlet)) doubts.set(`${doubt.rule} ${doubt.subject.id}`, doubt);
      }
      return doubts.size === 0 ? judgement : { ...judgement, findings: [...judgement.findings, ...doubts.values()] };
    },
  };
}

function outletOf(index: InventoryIndex, id: string): Outlet {
  const outlet = index.outlets.get(id);
  if (outlet === undefined) throw new Error(`no outlet "${id}" in the inventory`);
  return outlet;
}

/** What is unknown of the asked outlet itself and its way up. */
function ownDoubts(index: InventoryIndex, outlet: Outlet): Finding[] {
  const model = loadModel(index);
  const { rating, path } = model.outletLoad(outlet);
  const doubts = outletDoubts(model, outlet);
  const [feeding] = path;
  if (rating === null && feeding !== undefined) doubts.push(unknownLoad(feeding, outlet));
  return doubts;
}

interface PartJudgement {
  /** By what they say, so that one outlet's unknown load is said once for the whole path. */
  readonly findings: readonly (readonly [string, Finding])[];
  readonly tightest: TightestLimit | null;
}

/** Judges single parts, each swept once and each distinct addition judged once. */
function partJudge(index: InventoryIndex, practice: DemandPractice, uses: readonly OutletUse[], period: Period) {
  const rows = factorRows(practice);
  const byOutlet = usesByOutlet(uses, period);
  const { refusingBasis } = index.inventory.settings;
  const sweeps = new Map<Equipment, PartSweep>();
  const judged = new Map<Equipment, Map<string, PartJudgement>>();
  const before = new Map<string, readonly PeakCheck[]>();

  const sweepOf = (part: Equipment): PartSweep => {
    const found = sweeps.get(part) ?? sweepPart(index, part, byOutlet, period);
    sweeps.set(part, found);
    return found;
  };
  const checksOf = (sweep: PartSweep, basis: LoadBasis, added: AddedUse) =>
    peakChecks(sweep, peaksOf(sweep, basis, rows, added));
  const checksBefore = (sweep: PartSweep, basis: LoadBasis): readonly PeakCheck[] => {
    const key = `${basis} ${sweep.ratings.gauge.part.id}`;
    const found = before.get(key) ?? checksOf(sweep, basis, { indexes: [], statedShare: 1 });
    before.set(key, found);
    return found;
  };
  const overOn = (sweep: PartSweep, basis: LoadBasis, checks: readonly PeakCheck[]): [string, Finding][] => {
    const { part } = sweep.ratings.gauge;
    const level = basis === refusingBasis ? 'refuse' : 'caution';
    return checks.flatMap((check, i): [string, Finding][] => {
      if (!isOver(check)) return [];
      const without = checksBefore(sweep, basis)[i];
      const known = without === undefined ? null : { actual: without.actual, over: isOver(without) };
      const said = `${basis} ${check.kind} ${check.winding} ${part.id}`;
      return [[said, overLimit(part, check, basis, level, practice, known)]];
    });
  };

  return (part: Equipment, loads: readonly OutletLoad[], statedShare: number): PartJudgement => {
    const sweep = sweepOf(part);
    const indexes = loads
      .filter(({ path }) => path.includes(part))
      .flatMap((load) => sweep.ratings.indexOf(load) ?? [])
      .sort((a, b) => a - b);
    const ofPart = judged.get(part) ?? new Map<string, PartJudgement>();
    judged.set(part, ofPart);
    const key = `${indexes} ${statedShare}`;
    const found = ofPart.get(key);
    if (found !== undefined) return found;

    const added = { indexes, statedShare };
    const rated = checksOf(sweep, 'rated', added);
    const stated = checksOf(sweep, 'stated', added);
    const judgement: PartJudgement = {
      findings: [
        ...overOn(sweep, 'rated', rated),
        ...overOn(sweep, 'stated', stated),
        ...gaugeFindings(sweep.ratings.gauge).map((finding) => [`limits ${part.id}`, finding] as const),
        ...sweep.unknown.map((outlet) => [`load ${outlet.id}`, unknownLoad(part, outlet)] as const),
      ],
      tightest: tightestOf(part, refusingBasis, refusingBasis === 'rated' ? rated : stated),
    };
    ofPart.set(key, judgement);
    return judgement;
  };
}

function tightestOf(part: Equipment, basis: LoadBasis, checks: readonly PeakCheck[]): TightestLimit | null {
  let tightest: TightestLimit | null = null;
  for (const { kind, winding, actual, limit, unit, at } of checks) {
    if (limit === null) continue;
    const marginShare = limit > 0 ? (limit - actual) / limit : actual > 0 ? -1 : 0;
    if (tightest !== null && tightest.marginShare <= marginShare) continue;
    const { id: equipmentId, label } = part;
    tightest = { equipmentId, label, basis, limitKind: kind, winding, actual, limit, unit, marginShare, at };
  }
  return tightest;
}
