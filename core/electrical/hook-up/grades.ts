import type { Inlet } from '../../boats.ts';
import { type Finding, verdictOf } from '../../findings.ts';
import type { Component } from './components.ts';
import type { HookUp, HookUpContext, PowerSink } from './hook-up.ts';
import { judgeInlet, powerInlets } from './inlet-rules.ts';
import { judgeWiringOf } from './judge.ts';
import { judgeOutlet } from './outlet-rules.ts';
import type { SupplyOutlet } from './supply-outlet.ts';
import { traceHookUp } from './trace.ts';

export const gravityOf = { clear: 0, cautioned: 1, unconfirmed: 2, refused: 3 } as const;

/** Gravity and doubts, of a judgement or as the least that one can come to. */
export interface Grade {
  readonly gravity: number;
  readonly doubts: number;
}

function gradeOf(findings: readonly Finding[]): Grade {
  let doubts = 0;
  for (const { level, subject } of findings) {
    // A question about the boat as a whole is one question, however many outlets raise it.
    if ((level === 'refuse' || level === 'confirm') && subject.kind !== 'boat') doubts++;
  }
  return { gravity: gravityOf[verdictOf(findings)], doubts };
}

/**
 * What the outlets and inlets of a component bring by themselves, each judged once for the whole search; and the least
 * that any hook-up feeding every inlet comes to.
 */
export function gradesOfEnds(context: HookUpContext) {
  const ofOutlets = new Map<string, Grade>();
  for (const outlet of context.outlets.values()) ofOutlets.set(outlet.id, gradeOf(judgeOutlet(outlet, context)));
  const ofInlets = new Map<string, Grade>();
  let least: Grade = { gravity: 0, doubts: 0 };
  for (const inlet of powerInlets(context.boat)) {
    let ofInlet: Grade | null = null;
    for (const id of inlet.configurationIds?.value ?? []) {
      const grade = gradeOf(judgeInlet(inlet, id, context));
      ofInlets.set(`${inlet.id} ${id}`, grade);
      ofInlet = ofInlet === null ? grade : leastOf(ofInlet, grade);
    }
    if (ofInlet !== null) least = together(least, ofInlet);
  }
  const leastOutlet = [...ofOutlets.values()].reduce<Grade | null>((a, b) => (a === null ? b : leastOf(a, b)), null);
  if (leastOutlet !== null) least = together(least, leastOutlet);

  const gradeOfSink = (sink: PowerSink): Grade | undefined => {
    if (sink.kind !== 'inlet') return undefined;
    const grade = ofInlets.get(`${sink.inletId} ${sink.configurationId}`);
    const inlet = context.boat.inlets.find((each) => each.id === sink.inletId);
    return grade ?? (inlet === undefined ? undefined : gradeOf(judgeInlet(inlet, sink.configurationId, context)));
  };
  const ofComponent = ({ joints }: Component): Grade => {
    let grade: Grade = { gravity: 0, doubts: 0 };
    for (const { from, to } of joints) {
      const source = from.kind === 'outlet' ? ofOutlets.get(from.outletId) : undefined;
      const sink = gradeOfSink(to);
      if (source !== undefined) grade = together(grade, source);
      if (sink !== undefined) grade = together(grade, sink);
    }
    return grade;
  };
  return { ofComponent, least };
}

function together(a: Grade, b: Grade): Grade {
  return { gravity: Math.max(a.gravity, b.gravity), doubts: a.doubts + b.doubts };
}

function leastOf(a: Grade, b: Grade): Grade {
  return { gravity: Math.min(a.gravity, b.gravity), doubts: Math.min(a.doubts, b.doubts) };
}

/**
 * What the wiring of a component says. Components that differ only in which of like outlets and inlets they join are
 * traced once.
 */
export function gradesOfWiring(
  context: HookUpContext,
  assemble: (component: Component) => HookUp,
): (component: Component) => Grade {
  const placeOfOutlet = likePlaces(
    [...context.outlets.values()],
    ({ id: _, label: __, ...facts }: SupplyOutlet) => facts,
  );
  const placeOfInlet = likePlaces(context.boat.inlets, ({ id: _, ...facts }: Inlet) => facts);
  const known = new Map<string, Grade>();
  return (component) => {
    let key = '';
    for (const { poolIndex } of component.adapters) key += `${poolIndex},`;
    for (const { from, to } of component.joints) {
      key += from.kind === 'outlet' ? `o${placeOfOutlet.get(from.outletId)}` : from.adapter + from.fitting;
      key +=
        to.kind === 'plug' ? `>${to.adapter}${to.fitting};` : `>${placeOfInlet.get(to.inletId)}${to.configurationId};`;
    }
    let grade = known.get(key);
    if (grade === undefined) {
      const hookUp = assemble(component);
      grade = gradeOf(judgeWiringOf(hookUp, traceHookUp(hookUp, context), context));
      known.set(key, grade);
    }
    return grade;
  };
}

/** For each item the place of the first one with the same facts. */
function likePlaces<T extends { readonly id: string }>(items: readonly T[], factsOf: (item: T) => object) {
  const first = new Map<string, number>();
  const places = new Map<string, number>();
  items.forEach((item, place) => {
    const facts = JSON.stringify(factsOf(item));
    const known = first.get(facts) ?? place;
    first.set(facts, known);
    places.set(item.id, known);
  });
  return places;
}
