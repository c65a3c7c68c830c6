import type { OutletUse } from '../../berths/occupancy.ts';
import type { Finding } from '../../findings.ts';
import type { InventoryIndex } from '../../inventory/index-inventory.ts';
import type { Equipment, Outlet } from '../../inventory/inventory.ts';
import type { Period } from '../../periods.ts';
import type { DemandPractice } from '../../standards/demand-practice.ts';
import { factorRows } from './admitted-counts.ts';
import { gaugeFindings, outletDoubts, overLimit, unknownLoad } from './demand-findings.ts';
import type { LimitKind, LoadBasis } from './demand-of-part.ts';
import { loadModel, type OutletLoad } from './load-model.ts';
import { overSpan, spanInWords } from './over-span.ts';
import { governingMeasure, isOver } from './part-measures.ts';
import { type Peaks, peaksOf, sweepPart, usesByOutlet } from './part-sweep.ts';

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
 * when an outlet below them is first asked for; outlets alike in path, lines and pattern are judged once. With `sayTime`
 * a limit that is passed says when.
 */
export function prepareAdmission(
  index: InventoryIndex,
  practice: DemandPractice,
  uses: readonly OutletUse[],
  period: Period,
  sayTime?: (at: number) => string,
): Admission {
  const model = loadModel(index);
  const judgePart = partJudge(index, practice, uses, period, sayTime);
  const judged = new Map<string, AdmissionJudgement>();

  const judgeLoads = (loads: readonly OutletLoad[], statedVa: number | null): AdmissionJudgement => {
    const key = `${loads.map(({ classId }) => classId).sort((a, b) => a - b)} ${statedVa}`;
    const found = judged.get(key);
    if (found !== undefined) return found;
    const ratedVa = loads.reduce((sum, { rating }) => sum + (rating?.leastVa ?? 0), 0);
    const statedShare = statedVa === null || ratedVa === 0 ? 1 : statedVa / ratedVa;
    const findings: Finding[] = [];
    // One outlet's unknown load is said once, for the nearest part above it.
    const unknown = new Map<string, Finding>();
    let tightest: TightestLimit | null = null;
    for (const part of pathsOf(loads)) {
      const ofPart = judgePart(part, loads, statedShare);
      for (const finding of ofPart.findings) findings.push(finding);
      for (const outlet of ofPart.unknown) {
        if (!unknown.has(outlet.id)) unknown.set(outlet.id, unknownLoad(part, outlet));
      }
      if (ofPart.tightest !== null && (tightest === null || ofPart.tightest.marginShare < tightest.marginShare)) {
        tightest = ofPart.tightest;
      }
    }
    for (const finding of unknown.values()) findings.push(finding);
    const judgement = { findings, tightest };
    judged.set(key, judgement);
    return judgement;
  };

  return {
    judge: (outletIds, statedVa) => {
      const outlets = outletIds.map((id) => outletOf(index, id));
      const loads = outlets.map(model.outletLoad);
      const judgement = judgeLoads(loads, statedVa);
      if (!loads.some(({ doubtful }) => doubtful)) return judgement;
      const doubts = new Map<string, Finding>();
      for (const outlet of outlets) {
        for (const doubt of ownDoubts(index, outlet)) doubts.set(`${doubt.rule} ${doubt.subject.id}`, doubt);
      }
      return { ...judgement, findings: [...judgement.findings, ...doubts.values()] };
    },
  };
}

/** Every part above the outlets, once. */
function pathsOf(loads: readonly OutletLoad[]): Iterable<Equipment> {
  const [only] = loads;
  return loads.length === 1 && only !== undefined ? only.path : new Set(loads.flatMap(({ path }) => path));
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
  readonly findings: readonly Finding[];
  /** Outlets in use below the part whose load is unknown. */
  readonly unknown: readonly Outlet[];
  readonly tightest: TightestLimit | null;
}

/** Judges single parts, each swept once and each distinct addition judged once. */
function partJudge(
  index: InventoryIndex,
  practice: DemandPractice,
  uses: readonly OutletUse[],
  period: Period,
  sayTime: ((at: number) => string) | undefined,
) {
  const rows = factorRows(practice);
  const byOutlet = usesByOutlet(index, uses, period);
  const { refusingBasis } = index.inventory.settings;

  const prepare = (part: Equipment) => {
    const sweep = sweepPart(index, part, byOutlet, period);
    const before = new Map<LoadBasis, Peaks>();
    return {
      sweep,
      judged: new Map<string, PartJudgement>(),
      /** What holds whatever is added. */
      always: gaugeFindings(sweep.ratings.gauge),
      peaksBefore: (basis: LoadBasis): Peaks => {
        const peaks = before.get(basis) ?? peaksOf(sweep, basis, rows, { indexes: [], statedShare: 1 });
        before.set(basis, peaks);
        return peaks;
      },
    };
  };
  const prepared = new Map<Equipment, ReturnType<typeof prepare>>();

  return (part: Equipment, loads: readonly OutletLoad[], statedShare: number): PartJudgement => {
    const ofPart = prepared.get(part) ?? prepare(part);
    prepared.set(part, ofPart);
    const { sweep, judged, always, peaksBefore } = ofPart;
    const indexes: number[] = [];
    for (const load of loads) {
      // An outlet with an unknown load has a finding of its own.
      const i = sweep.ratings.indexOf(load);
      if (i >= 0) indexes.push(i);
    }
    const key = `${indexes.sort((a, b) => a - b)} ${statedShare}`;
    const found = judged.get(key);
    if (found !== undefined) return found;

    const { limits } = sweep.ratings.gauge;
    const findings: Finding[] = [];
    let tightest: TightestLimit | null = null;
    for (const basis of ['rated', 'stated'] as const) {
      const { values, at } = peaksOf(sweep, basis, rows, { indexes, statedShare });
      const refusing = basis === refusingBasis;
      for (const partLimit of limits) {
        const { kind, winding, limit, unit } = partLimit;
        if (limit === null) continue;
        const governing = governingMeasure(partLimit, values);
        const actual = values[governing] ?? 0;
        if (isOver({ actual, limit })) {
          const unplugged = peaksBefore(basis).values;
          const without = unplugged[governingMeasure(partLimit, unplugged)] ?? 0;
          const check = { kind, winding, actual, limit, margin: limit - actual, unit };
          const before = { actual: without, over: isOver({ actual: without, limit }) };
          const level = refusing ? 'refuse' : 'caution';
          const finding = overLimit(part, check, basis, level, practice, before);
          if (sayTime === undefined) findings.push(finding);
          else {
            const added = { indexes, statedShare };
            const passed = { measures: partLimit.measures, limit };
            const span = overSpan(sweep, basis, rows, added, passed, at[governing] ?? period.from, period);
            findings.push({ ...finding, message: `${finding.message} ${spanInWords(span, period, sayTime)}` });
          }
        }
        const marginShare = limit > 0 ? (limit - actual) / limit : actual > 0 ? -1 : 0;
        if (!refusing || (tightest !== null && tightest.marginShare <= marginShare)) continue;
        const peakAt = at[governing] ?? 0;
        const { id: equipmentId, label } = part;
        tightest = {
          equipmentId,
          label,
          basis,
          limitKind: kind,
          winding,
          actual,
          limit,
          unit,
          marginShare,
          at: peakAt,
        };
      }
    }
    const judgement = { findings: [...findings, ...always], unknown: sweep.unknown, tightest };
    judged.set(key, judgement);
    return judgement;
  };
}
