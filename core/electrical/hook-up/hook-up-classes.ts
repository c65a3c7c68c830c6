import type { Finding } from '../../findings.ts';
import type { FoundHookUps } from './find-hook-ups.ts';
import type { HookUp, JudgedHookUp } from './hook-up.ts';
import type { SupplyOutlet } from './supply-outlet.ts';

/**
 * Everything about the outlets of one berth that their judgement depends on, in their order. Two berths with the same
 * key have the same hook-ups, outlet by outlet; ids of supplies and devices count only by which outlets share them.
 */
export function hookUpClassKey(outlets: readonly SupplyOutlet[]): string {
  const ids = new Map<string, number>();
  const indexOf = (id: string) => {
    const known = ids.get(id) ?? ids.size;
    ids.set(id, known);
    return known;
  };
  let key = '';
  for (const outlet of outlets) {
    const { groundFault } = outlet;
    key += `${outlet.configurationId};${outlet.lines?.join() ?? '?'};${outlet.system?.id ?? '?'};${outlet.earthing ?? '?'};`;
    key += `${outlet.breakerA ?? '?'};${groundFault.device};${groundFault.settingMa ?? '?'};`;
    key += outlet.supplyId === null ? '?' : `s${indexOf(`s ${outlet.supplyId}`)}`;
    for (const { equipmentId, device } of outlet.devicesAbove) key += `,${device}${indexOf(`d ${equipmentId}`)}`;
    key += '|';
  }
  return key;
}

/**
 * A search that runs once for each class of berths. What it finds names outlets by their place in the list;
 * `nameOutlets` and `nameFindings` put the real ones in. Make one for each stay: whatever else `search` depends on is
 * fixed.
 */
export function hookUpsByClass(
  search: (outlets: readonly SupplyOutlet[]) => FoundHookUps,
): (outlets: readonly SupplyOutlet[]) => FoundHookUps {
  const foundByClass = new Map<string, FoundHookUps>();
  return (outlets) => {
    const key = hookUpClassKey(outlets);
    let found = foundByClass.get(key);
    if (found === undefined) {
      found = search(outlets.map(asPlace));
      foundByClass.set(key, found);
    }
    return found;
  };
}

// Characters that no id or label holds (Unicode private use), so that a name is never mistaken for a place.
const idMark = '\uE000';
const labelMark = '\uE001';
const idPattern = /\uE000(\d+);/g;
const labelPattern = /\uE001(\d+);/g;

function asPlace(outlet: SupplyOutlet, place: number): SupplyOutlet {
  return { ...outlet, id: `${idMark}${place};`, label: `${labelMark}${place};` };
}

/** The place in the list of outlets that an outlet's id in a hook-up of a class stands for. */
export function placeOf(outletId: string): number {
  return Number(outletId.slice(idMark.length, -1));
}

/** A hook-up found for a class, at a berth of it. */
export function nameOutlets(judged: JudgedHookUp, outlets: readonly SupplyOutlet[]): JudgedHookUp {
  return {
    ...judged,
    hookUp: nameJoints(judged.hookUp, outlets),
    findings: nameFindings(judged.findings, outlets),
    inlets: judged.inlets.map((inlet) => ({
      ...inlet,
      legs: inlet.legs.map((leg) => ({
        ...leg,
        outletId: leg.outletId === null ? null : named(leg.outletId, outlets),
      })),
    })),
    outletIds: judged.outletIds.map((id) => named(id, outlets)),
  };
}

/** Findings made for a class, with the names of this berth's outlets. */
export function nameFindings(findings: readonly Finding[], outlets: readonly SupplyOutlet[]): Finding[] {
  return findings.map((finding) => {
    const renamed = {
      ...finding,
      subject: nameSubject(finding.subject, outlets),
      actual: typeof finding.actual === 'string' ? named(finding.actual, outlets) : finding.actual,
      message: named(finding.message, outlets),
    };
    const { missingFact, mend } = finding;
    if (mend !== undefined) renamed.mend = named(mend, outlets);
    if (missingFact !== undefined)
      renamed.missingFact = {
        subject: nameSubject(missingFact.subject, outlets),
        fact: missingFact.fact,
        question: named(missingFact.question, outlets),
      };
    return renamed;
  });
}

function nameJoints(hookUp: HookUp, outlets: readonly SupplyOutlet[]): HookUp {
  const joints = hookUp.joints.map((joint) =>
    joint.from.kind === 'outlet'
      ? { ...joint, from: { ...joint.from, outletId: named(joint.from.outletId, outlets) } }
      : joint,
  );
  return { ...hookUp, joints };
}

function nameSubject(subject: Finding['subject'], outlets: readonly SupplyOutlet[]): Finding['subject'] {
  if (subject.kind !== 'outlet') return subject;
  return { ...subject, id: named(subject.id, outlets), label: named(subject.label, outlets) };
}

function named(text: string, outlets: readonly SupplyOutlet[]): string {
  if (!text.includes(idMark) && !text.includes(labelMark)) return text;
  return text
    .replaceAll(idPattern, (mark, place) => outlets[Number(place)]?.id ?? mark)
    .replaceAll(labelPattern, (mark, place) => outlets[Number(place)]?.label ?? mark);
}
