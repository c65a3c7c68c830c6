import type { MeterCover, MeterWeight } from './meter-cover.ts';

/** Intervals of one length from `from` on; readings begin at multiples of it. */
export interface Slots {
  readonly from: number;
  readonly count: number;
  readonly intervalMs: number;
}

/** What the readings of one part come to over some time. */
export interface PartPeak {
  readonly equipmentId: string;
  readonly peakVa: number | null;
  readonly peakAt: number | null;
  /** Of the most loaded line, A; null where the lines of any node read are others. */
  readonly peakA: number | null;
  /** Intervals with any reading, and with one of every meter. */
  readonly intervals: number;
  readonly complete: number;
  /** Days (UTC) with a complete interval. */
  readonly daysRead: number;
}

interface NodeSums {
  readonly va: Float64Array;
  readonly amperes: readonly [Float64Array, Float64Array, Float64Array];
  readonly meters: Uint16Array;
  /** 1 where any meter read. */
  readonly read: Uint8Array;
}

const dayMs = 86_400_000;

/** Sums readings by moment: first at the nodes where meters hang, then over the nodes of each part. */
export function readingSums({ weights, parts }: MeterCover, { from, count, intervalMs }: Slots) {
  const weightOf = new Map(weights.map((weight) => [`${weight.meterId}\n${weight.line}`, weight]));
  const nodes = new Map<string, NodeSums>();
  const sumsOf = ({ nodeId }: MeterWeight): NodeSums => {
    const known = nodes.get(nodeId);
    if (known !== undefined) return known;
    const column = () => new Float64Array(count);
    const made: NodeSums = {
      va: column(),
      amperes: [column(), column(), column()],
      meters: new Uint16Array(count),
      read: new Uint8Array(count),
    };
    nodes.set(nodeId, made);
    return made;
  };
  return {
    /** Adds the readings of one meter and line, in any order. A reading counts in the slot in which it begins. */
    add: (meterId: string, line: number, at: ArrayLike<number>, values: ArrayLike<number>): void => {
      const weight = weightOf.get(`${meterId}\n${line}`);
      if (weight === undefined) return;
      const { va, amperes, meters, read } = sumsOf(weight);
      const [a1, a2, a3] = amperes;
      for (let i = 0; i < values.length; i++) {
        const slot = Math.floor(((at[i] ?? 0) - from) / intervalMs);
        if (slot < 0 || slot >= count) continue;
        const value = values[i] ?? 0;
        va[slot] = (va[slot] ?? 0) + value * weight.va;
        a1[slot] = (a1[slot] ?? 0) + value * weight.a1;
        a2[slot] = (a2[slot] ?? 0) + value * weight.a2;
        a3[slot] = (a3[slot] ?? 0) + value * weight.a3;
        meters[slot] = (meters[slot] ?? 0) + weight.counts;
        read[slot] = 1;
      }
    },
    peaks: (): PartPeak[] =>
      parts.map(({ equipmentId, nodeIds, linesKnownNodeIds, meterIds }) => {
        const own = nodeIds.flatMap((id) => nodes.get(id) ?? []);
        const known = new Set(linesKnownNodeIds);
        const linesKnown = nodeIds.every((id) => known.has(id) || !nodes.has(id));
        let [peakVa, peakAt, peakA]: [number | null, number | null, number] = [null, null, 0];
        let [intervals, complete, daysRead, lastDay] = [0, 0, 0, -1];
        for (let slot = 0; own.length > 0 && slot < count; slot++) {
          let [isRead, meters, va, a1, a2, a3] = [false, 0, 0, 0, 0, 0];
          for (const node of own) {
            if (node.read[slot] !== 1) continue;
            isRead = true;
            meters += node.meters[slot] ?? 0;
            va += node.va[slot] ?? 0;
            a1 += node.amperes[0][slot] ?? 0;
            a2 += node.amperes[1][slot] ?? 0;
            a3 += node.amperes[2][slot] ?? 0;
          }
          if (!isRead) continue;
          intervals++;
          const at = from + slot * intervalMs;
          if (peakVa === null || va > peakVa) [peakVa, peakAt] = [va, at];
          peakA = Math.max(peakA, a1, a2, a3);
          if (meters < meterIds.length) continue;
          complete++;
          const day = Math.floor(at / dayMs);
          if (day !== lastDay) daysRead++;
          lastDay = day;
        }
        return {
          equipmentId,
          peakVa,
          peakAt,
          peakA: peakVa !== null && linesKnown ? peakA : null,
          intervals,
          complete,
          daysRead,
        };
      }),
  };
}

/** Peaks of one part over times that follow each other, cut at days. */
export function laterPeak(before: PartPeak, after: PartPeak): PartPeak {
  const isLarger = after.peakVa !== null && (before.peakVa === null || after.peakVa > before.peakVa);
  const { peakVa, peakAt } = isLarger ? after : before;
  const unknown = [before, after].some((each) => each.peakVa !== null && each.peakA === null);
  const amperes = [before.peakA, after.peakA].filter((each) => each !== null);
  return {
    equipmentId: before.equipmentId,
    peakVa,
    peakAt,
    peakA: unknown || amperes.length === 0 ? null : Math.max(...amperes),
    intervals: before.intervals + after.intervals,
    complete: before.complete + after.complete,
    daysRead: before.daysRead + after.daysRead,
  };
}

/**
 * What a register's readings say of the intervals between them: average kW where two are one interval apart. Where the
 * register fell it was restarted, and the interval is a gap.
 */
export function registerDemand(
  at: ArrayLike<number>,
  values: ArrayLike<number>,
  intervalMs: number,
): { readonly at: number[]; readonly values: number[] } {
  const order = Array.from({ length: at.length }, (_, i) => i).sort((a, b) => (at[a] ?? 0) - (at[b] ?? 0));
  const found: { at: number[]; values: number[] } = { at: [], values: [] };
  for (let i = 1; i < order.length; i++) {
    const [first, second] = [order[i - 1] ?? 0, order[i] ?? 0];
    const used = (values[second] ?? 0) - (values[first] ?? 0);
    if ((at[second] ?? 0) - (at[first] ?? 0) !== intervalMs || used < 0) continue;
    found.at.push(at[first] ?? 0);
    found.values.push((used * 3_600_000) / intervalMs);
  }
  return found;
}
