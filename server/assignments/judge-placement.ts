import { type BerthChoice, judgeChoice } from '../../core/berths/options/judge-choice.ts';
import { judgeKept } from '../../core/berths/options/judge-kept.ts';
import type { BerthOption, OptionsQuestion, Wishes } from '../../core/berths/options/options.ts';
import { prepare } from '../../core/berths/options/prepare.ts';
import type { Boat } from '../../core/boats.ts';
import { statedVaOf } from '../../core/electrical/boat-load/load-of-boat.ts';
import { spreadStatedVa } from '../../core/electrical/demand/spread-stated.ts';
import { type Finding, gravestFirst, isOverridable, verdictOf } from '../../core/findings.ts';
import type { Period } from '../../core/periods.ts';
import { loadQuestion } from '../berth-options/question.ts';
import type { Tx } from '../db/client.ts';
import { Problem } from '../errors.ts';
import type { Principal } from '../http/access.ts';
import { invalid } from '../occupancy/berth-parts.ts';
import type { Services } from '../services.ts';
import type { Placement } from './schema.ts';

export interface JudgedPlacement {
  readonly option: BerthOption;
  /** What each outlet carries of what the boat says it draws, VA. */
  readonly statedVa: ReadonlyMap<string, number | null>;
  readonly findings: readonly Finding[];
  readonly overrides: readonly Override[];
  readonly occupiedUntil: number;
  readonly revision: number;
}

/** What was overridden, with its figures as they were judged. */
export interface Override extends Pick<Finding, 'actual' | 'limit' | 'unit'> {
  readonly rule: string;
  readonly reason: string;
  readonly by: string;
}

/**
 * Judges where a stay is to be placed, against the marina as it is in this transaction: run it inside the marina
 * transaction, so that nothing can change between the judgement and the write.
 * @throws Problem `refused` with the findings, where a rule refuses and is not overridden; `invalid-input` for a berth
 * that does not exist, an orientation that it does not take, or an override of nothing that may be overridden
 */
export async function judgePlacement(
  tx: Tx,
  services: Pick<Services, 'inventories'>,
  principal: Principal,
  asked: AskedPlacement & {
    readonly boat: Boat;
    readonly wishes: Wishes;
    readonly groupId: string | null;
    readonly period: Period;
    readonly withoutAssignmentIds: ReadonlySet<string>;
    readonly leavingBoatIds?: ReadonlySet<string>;
    readonly now: number;
  },
): Promise<JudgedPlacement> {
  return judgeIn(await loadQuestion(tx, services, principal.marinaId, asked), principal, asked);
}

interface AskedPlacement {
  readonly placement: Placement & Pick<BerthChoice, 'outletIds'>;
  /** It has this place already: it keeps these outlets, and these overrides hold where they are still needed. */
  readonly standing?: { readonly outletIds: ReadonlySet<string>; readonly overrides: readonly Override[] };
}

/** The same against a question that the caller has loaded. */
export function judgeIn(
  { question, revision }: { readonly question: OptionsQuestion; readonly revision: number },
  principal: Principal,
  { placement, standing }: AskedPlacement,
): JudgedPlacement {
  const { boat } = question;
  const berth = question.index.berths.get(placement.berthId);
  if (berth === undefined)
    throw invalid('/berthId', `There is no berth "${placement.berthId}". Take an id of the inventory.`);
  if (placement.orientation !== null && !berth.orientations.includes(placement.orientation)) {
    throw invalid('/orientation', `Berth ${berth.label} takes boats ${berth.orientations.join(' or ')} only.`);
  }
  if (placement.place !== null && berth.faceFromM === null) {
    throw invalid('/place', `Berth ${berth.label} is no face: it is taken whole. Leave place out.`);
  }
  if (placement.place !== null && placement.place.untilM <= placement.place.fromM) {
    throw invalid('/place/untilM', 'The range must end after it begins.');
  }
  const prepared = prepare(question);
  const judged =
    standing === undefined
      ? judgeChoice(prepared, berth, placement)
      : judgeKept(prepared, berth, placement, standing.outletIds);
  const option = judged.describe();
  const { findings, overrides } = withOverrides(option.findings, placement, principal, standing?.overrides ?? []);
  if (verdictOf(findings) === 'refused') {
    const rules = findings.filter(({ level }) => level === 'refuse').map(({ rule }) => rule);
    throw new Problem('refused', `Berth ${berth.label} is refused by ${[...new Set(rules)].join(', ')}.`, { findings });
  }
  // While its inlets are unknown the outlet's rating is kept, whatever the boat says it draws.
  const drawnVa = option.hookUp === null ? null : statedVaOf(boat);
  const statedVa = spreadStatedVa(question.index, option.outletIds, drawnVa);
  return { option, statedVa, findings, overrides, occupiedUntil: question.occupiedUntil, revision };
}

/** Refusals that a named person overrides become cautions which say so. */
function withOverrides(
  findings: readonly Finding[],
  { overrides }: Placement,
  { id: by, name }: Principal,
  standing: readonly Override[],
) {
  const reasons = new Map(overrides.map(({ rule, reason }) => [rule, reason]));
  const overridden: Override[] = [];
  const judged = findings.map((finding): Finding => {
    if (!isOverridable(finding)) return finding;
    const { rule, actual, limit, unit } = finding;
    const reason = reasons.get(rule);
    const override =
      reason === undefined
        ? standing.find((before) => isFor(before, finding))
        : { rule, reason, by, actual, limit, unit };
    if (override === undefined) return finding;
    overridden.push(override);
    const who = override.by === by ? name : override.by;
    return { ...finding, level: 'caution', message: `${finding.message} Overridden by ${who}: ${override.reason}` };
  });
  overrides.forEach(({ rule }, position) => {
    if (overridden.some((override) => override.rule === rule)) return;
    const refuses = findings.some((finding) => finding.rule === rule && finding.level === 'refuse');
    throw invalid(
      `/overrides/${position}/rule`,
      refuses
        ? `"${rule}" is never overridden: only refusals about room (fit.) are. Choose another berth or hook-up.`
        : `"${rule}" refuses nothing here. Leave this override out.`,
    );
  });
  return { findings: gravestFirst(judged), overrides: overridden };
}

/** An override stands for the figure that was overridden: a lower tide on a later day asks again. */
function isFor({ rule, actual, limit, unit }: Override, finding: Finding): boolean {
  return rule === finding.rule && actual === finding.actual && limit === finding.limit && unit === finding.unit;
}
