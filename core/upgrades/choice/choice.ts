import type { LinearModel } from '../../linear/linear-model.ts';
import { modelBuilder } from '../../linear/model-builder.ts';
import { inOrderOfNeed } from '../studies/study.ts';

/** A change that may be chosen. */
export interface Candidate {
  readonly id: string;
  /** Minor units. */
  readonly costMinor: bigint;
  readonly requires: readonly string[];
  /** Made only because another requires it: sets that differ in nothing else are one set. */
  readonly besides?: boolean;
}

/** What is gained where all of some changes are made: nights, income or points, in whole units. */
export interface Benefit {
  readonly id: string;
  readonly value: number;
  readonly needs: readonly string[];
}

/** A stage: a year with money of its own; what is left goes on to the next. */
export interface Stage {
  readonly id: string;
  readonly budgetMinor: bigint;
  /** Years of benefit that a change made in this stage still has, at least 0. */
  readonly benefitYears: number;
}

export interface ChoiceProblem {
  readonly candidates: readonly Candidate[];
  readonly benefits: readonly Benefit[];
  readonly stages: readonly Stage[];
}

/** Which changes are made, each in which stage. */
export interface ChosenSet {
  readonly stageOf: ReadonlyMap<string, string>;
  readonly benefit: number;
  readonly costMinor: bigint;
}

/** The linear model, with what its columns mean. */
interface ChoiceModel {
  readonly model: LinearModel;
  readonly read: (values: ArrayLike<number>) => ChosenSet;
}

/**
 * The model: every change is made at most once, in one stage; not before what it requires; the money of each stage and what
 * was left before it is not passed; a benefit counts from the stage by which all that it needs is made. The benefit is a sum
 * of the terms given, no more: what two changes do together has to be a term of its own. First the benefit is made greatest,
 * then the cost least. `without` are sets not to be chosen again.
 *
 * Costs are divided by their greatest common divisor, so that costs and budgets in other units give the same model.
 * Benefits count in thousandths where they are not whole.
 * @throws RangeError for requirements in a circle, benefits that need what is not there, values below 0.
 */
export function choiceModel(problem: ChoiceProblem, without: readonly ChosenSet[] = []): ChoiceModel {
  const { candidates, benefits, stages } = problem;
  requireSound(problem);
  const unit = costUnit(candidates);
  const costs = candidates.map(({ costMinor }) => Number(costMinor / unit));
  const place = new Map(candidates.map(({ id }, c) => [id, c]));
  const builder = modelBuilder();
  const made = candidates.map(() => stages.map(() => builder.addColumn(0, 1)));
  const gained = benefits.map(() => stages.map(() => builder.addColumn(0, 1)));
  const upTo = (c: number, s: number): readonly number[] => made[c]?.slice(0, s + 1) ?? [];
  const all = stages.length - 1;
  const atMost = (columns: readonly number[], values: readonly number[], most: number) =>
    builder.addRow(Number.NEGATIVE_INFINITY, most, columns, values);
  const ones = (columns: readonly number[], value = 1) => columns.map(() => value);
  for (const [c, { requires }] of candidates.entries()) {
    atMost(upTo(c, all), ones(upTo(c, all)), 1);
    for (const id of requires) {
      const r = place.get(id) ?? 0;
      for (let s = 0; s < stages.length; s++)
        atMost([...upTo(c, s), ...upTo(r, s)], [...ones(upTo(c, s)), ...ones(upTo(r, s), -1)], 0);
    }
  }
  let money = 0n;
  for (const [s, { budgetMinor }] of stages.entries()) {
    money += budgetMinor;
    const columns = candidates.flatMap((_, c) => upTo(c, s));
    const values = candidates.flatMap((_, c) => ones(upTo(c, s), costs[c] ?? 0));
    atMost(columns, values, money < 0n ? -1 : Number(money / unit));
  }
  const worths = benefits.flatMap(({ value }) => stages.map(({ benefitYears }) => value * benefitYears));
  const scale = worths.every(Number.isInteger) ? 1 : 1000;
  for (const [b, { needs }] of benefits.entries()) {
    const columns = gained[b] ?? [];
    atMost(columns, ones(columns), 1);
    for (const [s, column] of columns.entries()) {
      for (const id of needs) {
        const way = upTo(place.get(id) ?? 0, s);
        atMost([column, ...way], [1, ...ones(way, -1)], 0);
      }
    }
  }
  for (const { stageOf } of without) {
    // At least one change more or one less, whatever the stages.
    const own = [...candidates.entries()].filter(([, { besides }]) => besides !== true);
    const columns = own.flatMap(([c]) => upTo(c, all));
    const values = own.flatMap(([c, { id }]) => ones(upTo(c, all), stageOf.has(id) ? -1 : 1));
    const size = own.filter(([, { id }]) => stageOf.has(id)).length;
    builder.addRow(1 - size, Number.POSITIVE_INFINITY, columns, values);
  }
  const weights = worths.map((worth) => Math.round(worth * scale));
  const range = benefits.reduce(
    (sum, _, b) => sum + Math.max(0, ...stages.map((__, s) => weights[b * stages.length + s] ?? 0)),
    0,
  );
  builder.addLevel(
    { name: 'benefit', unit: scale === 1 ? '1' : '0.001', sense: 'most', range },
    gained.flat(),
    weights,
  );
  builder.addLevel(
    { name: 'cost', unit: `${unit} minor units`, sense: 'least', range: costs.reduce((sum, cost) => sum + cost, 0) },
    made.flat(),
    candidates.flatMap((_, c) => ones(upTo(c, all), costs[c] ?? 0)),
  );
  return {
    model: builder.build(),
    read: (values) => readSet(problem, (c, s) => (values[made[c]?.[s] ?? -1] ?? 0) > 0.5),
  };
}

/** Throws what `choiceModel` throws. */
export function requireSound({ candidates, benefits, stages }: ChoiceProblem): void {
  inOrderOfNeed(candidates);
  const ids = new Set(candidates.map(({ id }) => id));
  for (const { id, value, needs } of benefits) {
    if (!(value >= 0)) throw new RangeError(`Benefit "${id}" is ${value}. Give 0 or more.`);
    const missing = needs.find((need) => !ids.has(need));
    if (missing !== undefined) throw new RangeError(`Benefit "${id}" needs "${missing}", which is no candidate.`);
  }
  for (const { id, costMinor } of candidates) if (costMinor < 0n) throw new RangeError(`"${id}" costs less than 0.`);
  for (const { id, benefitYears } of stages)
    if (!(benefitYears >= 0))
      throw new RangeError(`Stage "${id}" has ${benefitYears} years of benefit. Give 0 or more.`);
}

/** The set with its benefit and cost counted from the set itself, not from the solver's figures. */
function readSet(problem: ChoiceProblem, isMade: (candidate: number, stage: number) => boolean): ChosenSet {
  const stageOf = new Map<string, string>();
  for (const [c, { id }] of problem.candidates.entries()) {
    const stage = problem.stages.find((_, s) => isMade(c, s));
    if (stage !== undefined) stageOf.set(id, stage.id);
  }
  return { stageOf, ...worthOf(problem, stageOf) };
}

/** Benefit and cost of a set. */
export function worthOf(
  { candidates, benefits, stages }: ChoiceProblem,
  stageOf: ReadonlyMap<string, string>,
): { readonly benefit: number; readonly costMinor: bigint } {
  const order = new Map(stages.map(({ id }, s) => [id, s]));
  let benefit = 0;
  for (const { value, needs } of benefits) {
    const at = needs.map((id) => order.get(stageOf.get(id) ?? '') ?? -1);
    if (at.some((s) => s < 0)) continue;
    const from = Math.max(0, ...at);
    // A later stage may give more only where its years say so; the best of those open counts.
    benefit += value * Math.max(0, ...stages.slice(from).map(({ benefitYears }) => benefitYears));
  }
  const costMinor = candidates.reduce((sum, { id, costMinor: cost }) => (stageOf.has(id) ? sum + cost : sum), 0n);
  return { benefit, costMinor };
}

/** What all costs are multiples of. */
export function costUnit(candidates: readonly Candidate[]): bigint {
  return candidates.reduce((divisor, { costMinor }) => gcd(divisor, costMinor), 0n) || 1n;
}

function gcd(a: bigint, b: bigint): bigint {
  return b === 0n ? a : gcd(b, a % b);
}
