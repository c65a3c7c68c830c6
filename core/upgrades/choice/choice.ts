import { inOrderOfNeed } from '../studies/study.ts';

/** A change that may be chosen. */
export interface Candidate {
  readonly id: string;
  /** Minor units. */
  readonly costMinor: bigint;
  readonly requires: readonly string[];
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

/** A linear model as the text of an LP file, with what its variables mean. */
export interface ChoiceModel {
  readonly lp: string;
  readonly read: (values: ReadonlyMap<string, number>) => ChosenSet;
}

export interface ModelOptions {
  /** Sets not to be chosen again: for the runners-up. */
  readonly without?: readonly ChosenSet[];
  /** Least benefit wanted; the cost is then made least. Null: the benefit is made greatest. */
  readonly leastBenefit?: number | null;
}

/**
 * The model: every change is made at most once, in one stage; not before what it requires; the money of each stage and what
 * was left before it is not passed; a benefit counts from the stage by which all that it needs is made. The benefit is a sum
 * of the terms given, no more: what two changes do together has to be a term of its own.
 *
 * Costs are divided by their greatest common divisor, so that costs and budgets in other units give the same model.
 * @throws RangeError for requirements in a circle, benefits that need what is not there, values below 0.
 */
export function choiceModel({ candidates, benefits, stages }: ChoiceProblem, options: ModelOptions = {}): ChoiceModel {
  inOrderOfNeed(candidates);
  const ids = new Set(candidates.map(({ id }) => id));
  for (const { id, value, needs } of benefits) {
    if (!(value >= 0)) throw new RangeError(`Benefit "${id}" is ${value}. Give 0 or more.`);
    const missing = needs.find((need) => !ids.has(need));
    if (missing !== undefined) throw new RangeError(`Benefit "${id}" needs "${missing}", which is no candidate.`);
  }
  for (const { id, costMinor } of candidates) if (costMinor < 0n) throw new RangeError(`"${id}" costs less than 0.`);
  const unit = candidates.reduce((divisor, { costMinor }) => gcd(divisor, costMinor), 0n) || 1n;
  const made = (c: number, s: number) => `x_${c}_${s}`;
  const gained = (b: number, s: number) => `y_${b}_${s}`;
  const place = new Map(candidates.map(({ id }, c) => [id, c]));
  const rows: string[] = [];
  const upTo = (c: number, s: number, sign: string) =>
    Array.from({ length: s + 1 }, (_, t) => `${sign} ${made(c, t)}`).join(' ');
  for (const [c, { requires }] of candidates.entries()) {
    rows.push(`${upTo(c, stages.length - 1, '+')} <= 1`);
    for (const id of requires) {
      const r = place.get(id) ?? 0;
      for (let s = 0; s < stages.length; s++) rows.push(`${upTo(c, s, '+')} ${upTo(r, s, '-')} <= 0`);
    }
  }
  let money = 0n;
  for (const [s, { budgetMinor }] of stages.entries()) {
    money += budgetMinor;
    const terms = candidates.flatMap(({ costMinor }, c) =>
      costMinor === 0n ? [] : Array.from({ length: s + 1 }, (_, t) => `+ ${costMinor / unit} ${made(c, t)}`),
    );
    if (terms.length > 0) rows.push(`${terms.join(' ')} <= ${money < 0n ? -1 : money / unit}`);
  }
  const value: string[] = [];
  for (const [b, benefit] of benefits.entries()) {
    for (const [s, stage] of stages.entries()) {
      // A benefit is gained once: for the years from the stage by which all is made.
      if (benefit.value * stage.benefitYears > 0) value.push(`+ ${benefit.value * stage.benefitYears} ${gained(b, s)}`);
      for (const id of benefit.needs) rows.push(`+ ${gained(b, s)} ${upTo(place.get(id) ?? 0, s, '-')} <= 0`);
    }
    rows.push(`${stages.map((_, s) => `+ ${gained(b, s)}`).join(' ')} <= 1`);
  }
  for (const { stageOf } of options.without ?? []) {
    // At least one change more or less, whatever the stages.
    const terms = candidates.map(({ id }, c) => upTo(c, stages.length - 1, stageOf.has(id) ? '-' : '+')).join(' ');
    rows.push(`${terms} >= ${1 - stageOf.size}`);
  }
  const least = options.leastBenefit ?? null;
  if (least !== null && value.length > 0) rows.push(`${value.join(' ')} >= ${least}`);
  const spent = candidates.flatMap(({ costMinor }, c) =>
    costMinor === 0n ? [] : stages.map((_, s) => `+ ${costMinor / unit} ${made(c, s)}`),
  );
  const variables = candidates.flatMap((_, c) => stages.map((__, s) => made(c, s)));
  const none = variables[0] === undefined ? '0 nothing' : `0 ${variables[0]}`;
  const goal = least === null ? value : spent;
  const lp = [
    least === null ? 'Maximize' : 'Minimize',
    ` goal: ${goal.length === 0 ? none : wrapped(goal.join(' '))}`,
    'Subject To',
    ...rows.map((row, i) => ` r${i}: ${wrapped(row)}`),
    'Bounds',
    ...benefits.flatMap((_, b) => stages.map((__, s) => ` 0 <= ${gained(b, s)} <= 1`)),
    'Binary',
    ...variables.map((name) => ` ${name}`),
    'End',
  ].join('\n');
  return {
    lp,
    read: (values) => readSet({ candidates, benefits, stages }, (c, s) => (values.get(made(c, s)) ?? 0) > 0.5),
  };
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

function gcd(a: bigint, b: bigint): bigint {
  return b === 0n ? a : gcd(b, a % b);
}

/** The format allows lines of 560 characters. */
function wrapped(row: string): string {
  return row.length < 500 ? row : row.replaceAll(/(.{200,400}?) (?=[+-] )/g, '$1\n  ');
}
