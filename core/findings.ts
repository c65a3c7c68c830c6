/**
 * A finding is one rule's word on one subject. Every result that a person may act on carries findings, never prose
 * alone and never a bare boolean.
 */

/** What a rule may say, gravest first. `confirm`: a missing fact decides, and the finding names it. */
export type FindingLevel = 'refuse' | 'confirm' | 'caution' | 'note';

/** The part of the job a rule belongs to; it leads the rule's name. */
export type RuleArea =
  | 'fit' // dimensions, depth, mooring
  | 'space' // who else has the berth space
  | 'reach' // cords from outlet to inlet
  | 'hookup' // the connection itself
  | 'stock' // adapters the dock can lend
  | 'outlet' // state and use of one outlet
  | 'demand' // equipment above the outlet
  | 'power' // volts and amperes along the distribution tree
  | 'load' // what the boat draws
  | 'leakage' // current that returns outside its own conductors
  | 'sizing' // conductors and devices for a load
  | 'review' // pedestals and feeders against an edition of the code
  | 'wish' // what the boater asked for
  | 'checkin'; // what is seen and read at the dock

export type RuleName = `${RuleArea}.${string}`;

/** What a finding speaks of. `id` is the API's id, `label` what people call it. */
export interface Subject {
  readonly kind:
    | 'berth'
    | 'spaceUnit'
    | 'outlet'
    | 'pedestal'
    | 'equipment'
    | 'boat'
    | 'inlet'
    | 'cordSet'
    | 'adapter'
    | 'stay'
    | 'holding'
    | 'outOfService'
    | 'group'
    | 'practice'
    | 'marina';
  readonly id: string;
  readonly label: string;
}

/** A fact nobody has stated yet: whose, and its name as a path in that subject's document (`inlets.0.mainBreakerA`). */
export interface MissingFact {
  readonly subject: Subject;
  readonly fact: string;
  /** The question to ask, in words a boater or a dockhand understands. */
  readonly question: string;
}

export interface Finding {
  readonly rule: RuleName;
  readonly level: FindingLevel;
  readonly subject: Subject;
  /** What was found; null where there is no single value. */
  readonly actual: number | string | null;
  /** What it was held against; null where the limit is unknown or not a value. */
  readonly limit: number | string | null;
  /** Unit of `actual` and `limit` where they are numbers (`A`, `VA`, `m`, `V`, `mA`). */
  readonly unit: string | null;
  /** Where the limit comes from: a standard's clause, the marina's setting, or `common practice`. */
  readonly source: string;
  /** Names the thing, its value, its limit and what to do. */
  readonly message: string;
  /** The fact that decides, where the level is `confirm`. */
  readonly missingFact?: MissingFact;
  /** Further facts that would narrow the same doubt, in the order to ask. */
  readonly alsoMissing?: readonly MissingFact[];
  /** What would lift a refusal, in words ("a cord of 15.2 m"). */
  readonly mend?: string;
}

const gravity: Record<FindingLevel, number> = { refuse: 3, confirm: 2, caution: 1, note: 0 };

/** Orders findings gravest first and otherwise leaves them as they came. */
export function gravestFirst<Spoken extends Pick<Finding, 'level'>>(findings: readonly Spoken[]): Spoken[] {
  return [...findings].sort((a, b) => gravity[b.level] - gravity[a.level]);
}

/** Every fact that a finding asks for, the one that decides soonest first. */
export function missingFactsOf({
  missingFact,
  alsoMissing = [],
}: Pick<Finding, 'missingFact' | 'alsoMissing'>): readonly MissingFact[] {
  return missingFact === undefined ? [] : [missingFact, ...alsoMissing];
}

/** What findings amount to. `refused`: at least one refusal. `unconfirmed`: a missing fact decides. */
export type Verdict = 'refused' | 'unconfirmed' | 'cautioned' | 'clear';

/** The verdict is the gravest level spoken; no finding at all is `clear`. */
export function verdictOf(findings: readonly Pick<Finding, 'level'>[]): Verdict {
  let gravest = 0;
  for (const finding of findings) gravest = Math.max(gravest, gravity[finding.level]);
  return gravest === 3 ? 'refused' : gravest === 2 ? 'unconfirmed' : gravest === 1 ? 'cautioned' : 'clear';
}

/**
 * Only refusals about room and mooring may be overridden, by a named person with a reason: local knowledge of a depth,
 * 20 cm of overhang. Electrical refusals and double use never.
 */
export function isOverridable(finding: { readonly level: FindingLevel; readonly rule: string }): boolean {
  return finding.level === 'refuse' && finding.rule.startsWith('fit.');
}
