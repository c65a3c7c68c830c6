import type { Finding, MissingFact, Subject } from '../../findings.ts';
import type { HookUp, HookUpBoat, JudgedHookUp } from './hook-up.ts';
import { hookUpClassKey } from './like-outlets.ts';
import type { SupplyOutlet } from './supply-outlet.ts';

/**
 * Judges a hook-up once for all that are built alike from like outlets. What comes back names outlets by their place
 * in the list given; `nameHookUp` and `nameFindings` put the real ones in. Whatever else `judge` depends on is fixed.
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
const boatIdMark = '\uE002';
const boatNameMark = '\uE003';
const anyMark = /[\uE000-\uE003]/;
const idPattern = /\uE000(\d+);/g;
const labelPattern = /\uE001(\d+);/g;

function asPlace(outlet: SupplyOutlet, place: number): SupplyOutlet {
  return { ...outlet, id: `${idMark}${place};`, label: `${labelMark}${place};` };
}

/** The place in the list of outlets that an outlet's id in a hook-up of a class stands for. */
export function placeOf(outletId: string): number {
  return Number(outletId.slice(idMark.length, -1));
}

/** A boat that stands for all with the same facts: what is said of it is said of each, once it is named. */
export function withoutName<Named extends Pick<HookUpBoat, 'id' | 'name'>>(boat: Named): Named {
  return { ...boat, id: boatIdMark, name: boatNameMark };
}

/** Whose names stand in for the marks. */
export interface Names {
  /** In the order of the places. */
  readonly outlets: readonly SupplyOutlet[];
  readonly boat: Pick<HookUpBoat, 'id' | 'name'>;
}

/** A hook-up found for a class, at a berth of it. */
export function nameHookUp(judged: JudgedHookUp, names: Names): JudgedHookUp {
  return {
    ...judged,
    hookUp: nameJoints(judged.hookUp, names),
    findings: nameFindings(judged.findings, names),
    inlets: judged.inlets.map((inlet) => ({
      ...inlet,
      legs: inlet.legs.map((leg) => ({
        ...leg,
        outletId: leg.outletId === null ? null : named(leg.outletId, names),
      })),
    })),
    outletIds: judged.outletIds.map((id) => named(id, names)),
  };
}

/** Findings made for a class, with the names of this boat and of this berth's outlets. */
export function nameFindings(findings: readonly Finding[], names: Names): Finding[] {
  const nameFact = ({ subject, fact, question }: MissingFact): MissingFact => ({
    subject: nameSubject(subject, names),
    fact,
    question: named(question, names),
  });
  return findings.map((finding) => {
    const { subject, actual, limit, message, mend, missingFact, alsoMissing } = finding;
    return {
      ...finding,
      subject: nameSubject(subject, names),
      actual: typeof actual === 'string' ? named(actual, names) : actual,
      limit: typeof limit === 'string' ? named(limit, names) : limit,
      message: named(message, names),
      ...(mend === undefined ? {} : { mend: named(mend, names) }),
      ...(missingFact === undefined ? {} : { missingFact: nameFact(missingFact) }),
      ...(alsoMissing === undefined ? {} : { alsoMissing: alsoMissing.map(nameFact) }),
    };
  });
}

function nameJoints(hookUp: HookUp, names: Names): HookUp {
  const joints = hookUp.joints.map((joint) =>
    joint.from.kind === 'outlet'
      ? { ...joint, from: { ...joint.from, outletId: named(joint.from.outletId, names) } }
      : joint,
  );
  return { ...hookUp, joints };
}

function nameSubject(subject: Subject, names: Names): Subject {
  if (subject.kind !== 'outlet' && subject.kind !== 'boat') return subject;
  return { ...subject, id: named(subject.id, names), label: named(subject.label, names) };
}

function named(text: string, { outlets, boat }: Names): string {
  if (!anyMark.test(text)) return text;
  return text
    .replaceAll(idPattern, (mark, place) => outlets[Number(place)]?.id ?? mark)
    .replaceAll(labelPattern, (mark, place) => outlets[Number(place)]?.label ?? mark)
    .replaceAll(boatIdMark, () => boat.id)
    .replaceAll(boatNameMark, () => boat.name);
}
