import type { Finding } from '../../findings.ts';
import type { HookUp, JudgedHookUp } from './hook-up.ts';
import { hookUpClassKey } from './like-outlets.ts';
import type { SupplyOutlet } from './supply-outlet.ts';

/**
 * Judges a hook-up once for all that are built alike from like outlets. What comes back names outlets by their place
 * in the list given; `nameOutlets` and `nameFindings` put the real ones in. Make one for each stay: whatever else
 * `judge` depends on is fixed.
 *
 * @param outlets those that the hook-up takes, in the order of its joints
 */
export function judgeByClass(
  judge: (hookUp: HookUp, outlets: readonly SupplyOutlet[]) => JudgedHookUp,
): (hookUp: HookUp, outlets: readonly SupplyOutlet[]) => JudgedHookUp {
  const known = new Map<string, JudgedHookUp>();
  return (hookUp, outlets) => {
    const key = builtAs(hookUp) + hookUpClassKey(outlets);
    const found = known.get(key);
    if (found !== undefined) return found;
    const places = outlets.map(asPlace);
    const joints = hookUp.joints.map(({ from, to }) => {
      if (from.kind !== 'outlet') return { from, to };
      const place = outlets.findIndex(({ id }) => id === from.outletId);
      return { from: { kind: from.kind, outletId: places[place]?.id ?? from.outletId }, to };
    });
    const judged = judge({ ...hookUp, joints }, places);
    known.set(key, judged);
    return judged;
  };
}

/** Outlets that a hook-up takes, in the order of its joints. */
export function outletIdsOf({ joints }: HookUp): string[] {
  return joints.flatMap(({ from }) => (from.kind === 'outlet' ? [from.outletId] : []));
}

/** Adapters, their owners and joints, outlets by their order alone. */
function builtAs({ adapters, joints }: HookUp): string {
  let key = '';
  for (const { ref, kindId, from, stockId } of adapters) key += `${ref} ${kindId} ${from} ${stockId},`;
  for (const { from, to } of joints) {
    key += from.kind === 'outlet' ? 'o' : `${from.adapter} ${from.fitting}`;
    key += to.kind === 'plug' ? `>${to.adapter} ${to.fitting};` : `>${to.inletId} ${to.configurationId};`;
  }
  return key;
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
