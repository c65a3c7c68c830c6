import type { Inlet } from '../../boats.ts';
import { type Finding, verdictOf } from '../../findings.ts';
import type { AdapterKind } from '../../standards/adapter-kind.ts';
import type { Terminal } from '../../standards/configuration.ts';
import type { AdapterPool, Component } from './components.ts';
import type { HookUp, HookUpContext, PowerSink } from './hook-up.ts';
import { judgeInlet, powerInlets } from './inlet-rules.ts';
import { judgeConnection } from './judge.ts';
import { hookUpClassKey, type LikeOutlets, ownFacts } from './like-outlets.ts';
import { judgeOutlet } from './outlet-rules.ts';
import type { SupplyOutlet } from './supply-outlet.ts';
import { traceHookUp } from './trace.ts';
import { asksWholeBoat } from './whole-boat.ts';

export const gravityOf = { clear: 0, cautioned: 1, unconfirmed: 2, refused: 3 } as const;

/**
 * Gravity and doubts, of a judgement or as the least that one can come to. Questions about the whole boat count in
 * neither: they tell no way from another.
 */
export interface Grade {
  readonly gravity: number;
  readonly doubts: number;
}

const noDoubts: Grade = { gravity: 0, doubts: 0 };

function gradeOf(findings: readonly Finding[]): Grade {
  let doubts = 0;
  const ofThisWay = findings.filter((finding) => !asksWholeBoat(finding));
  for (const { level, subject } of ofThisWay) {
    // A word on the boat is one word, however many outlets raise it.
    if ((level === 'refuse' || level === 'confirm') && subject.kind !== 'boat') doubts++;
  }
  return { gravity: gravityOf[verdictOf(ofThisWay)], doubts };
}

/** Grades for one boat and whatever outlets: like parts are judged once for all searches that share these. */
export interface Grades {
  /** What the outlets and inlets of a component bring by themselves. */
  readonly endsOf: (component: Component, outlets: ReadonlyMap<string, SupplyOutlet>) => Grade;
  /** The least that its wiring can come to, without solving it. */
  readonly leastOfWiring: (component: Component, outlets: ReadonlyMap<string, SupplyOutlet>) => Grade;
  /** What its wiring says. */
  readonly wiringOf: (
    component: Component,
    assemble: () => HookUp,
    outlets: ReadonlyMap<string, SupplyOutlet>,
  ) => Grade;
  /** The least that any hook-up feeding every inlet from some of these outlets comes to. */
  readonly leastFrom: (outlets: readonly LikeOutlets[]) => Grade;
}

const residualTrips: Grade = { gravity: gravityOf.refused, doubts: 1 };

/** Whether a kind joins the neutrals of several plugs, each with a line of its own, at one connector. */
function joinsNeutrals({ plugs, connectors, conductors }: AdapterKind): boolean {
  if (plugs.length < 2) return false;
  return connectors.some(({ id }) => {
    const feeds = (isWanted: (terminal: Terminal) => boolean) =>
      new Set(
        conductors.flatMap(({ from, to }) =>
          to.fitting === id && isWanted(to.terminal) && to.terminal !== 'G' ? [from.fitting] : [],
        ),
      );
    const neutrals = feeds((terminal) => terminal === 'N');
    const lines = feeds((terminal) => terminal !== 'N');
    return plugs.every((plug) => neutrals.has(plug.id) && lines.has(plug.id));
  });
}

/**
 * Spares solving what is bound to trip: where neutrals of several outlets meet, all that one line sends out may come back
 * by another outlet, and amperes are a thousand times what a ground-fault device bears.
 */
function isBoundToTrip(
  { adapters, joints, outletCount }: Component,
  outlets: ReadonlyMap<string, SupplyOutlet>,
  joining: ReadonlySet<number>,
): boolean {
  // Every outlet of a component with two of them hangs beneath the piece that joins them.
  if (outletCount < 2 || adapters.filter(({ poolIndex }) => joining.has(poolIndex)).length !== 1) return false;
  return joints.some(
    ({ from }) => from.kind === 'outlet' && outlets.get(from.outletId)?.groundFault.device === 'fitted',
  );
}

export function prepareGrades(given: Omit<HookUpContext, 'outlets'>, pools: readonly AdapterPool[] = []): Grades {
  const joining = new Set(pools.flatMap(({ kind }, i) => (joinsNeutrals(kind) ? [i] : [])));
  const context: HookUpContext = { ...given, outlets: new Map() };
  const { boat } = context;
  const ofOutlets = new Map<string, Grade>();
  const ofOutlet = (outlet: SupplyOutlet): Grade => {
    const key = ownFacts(outlet);
    const known = ofOutlets.get(key);
    if (known !== undefined) return known;
    const grade = gradeOf(judgeOutlet(outlet, context));
    ofOutlets.set(key, grade);
    return grade;
  };

  const ofInlets = new Map<string, Grade>();
  const ofSink = (sink: PowerSink): Grade => {
    if (sink.kind !== 'inlet') return noDoubts;
    const key = `${sink.inletId} ${sink.configurationId}`;
    const known = ofInlets.get(key);
    if (known !== undefined) return known;
    const inlet = boat.inlets.find((each) => each.id === sink.inletId);
    const grade = inlet === undefined ? noDoubts : gradeOf(judgeInlet(inlet, sink.configurationId, context));
    ofInlets.set(key, grade);
    return grade;
  };

  const leastOfInlets = powerInlets(boat)
    .map((inlet) => {
      const said = inlet.configurationIds?.value ?? [];
      const grades = said.map((configurationId) => ofSink({ kind: 'inlet', inletId: inlet.id, configurationId }));
      return grades.length === 0 ? noDoubts : grades.reduce(leastOf);
    })
    .reduce(together, noDoubts);

  const placeOfInlet = likePlaces(boat.inlets);
  const ofWiring = new Map<string, Grade>();
  return {
    leastOfWiring: (component, outlets) => (isBoundToTrip(component, outlets, joining) ? residualTrips : noDoubts),
    endsOf: ({ joints }, outlets) => {
      let grade = noDoubts;
      for (const { from, to } of joints) {
        const source = from.kind === 'outlet' ? outlets.get(from.outletId) : undefined;
        if (source !== undefined) grade = together(grade, ofOutlet(source));
        grade = together(grade, ofSink(to));
      }
      return grade;
    },
    wiringOf: (component, assemble, outlets) => {
      const key = wiringKey(component, outlets, placeOfInlet);
      const known = ofWiring.get(key);
      if (known !== undefined) return known;
      const hookUp = assemble();
      const within: HookUpContext = { ...context, outlets };
      const grade = gradeOf(judgeConnection(hookUp, traceHookUp(hookUp, within), within));
      ofWiring.set(key, grade);
      return grade;
    },
    leastFrom: (outlets) => {
      const grades = outlets.map(([outlet]) => ofOutlet(outlet));
      return grades.length === 0 ? leastOfInlets : together(leastOfInlets, grades.reduce(leastOf));
    },
  };
}

function together(a: Grade, b: Grade): Grade {
  return { gravity: Math.max(a.gravity, b.gravity), doubts: a.doubts + b.doubts };
}

function leastOf(a: Grade, b: Grade): Grade {
  return { gravity: Math.min(a.gravity, b.gravity), doubts: Math.min(a.doubts, b.doubts) };
}

/** The same for components that differ only in which of like inlets and outlets they join. */
function wiringKey(
  { adapters, joints }: Component,
  outlets: ReadonlyMap<string, SupplyOutlet>,
  placeOfInlet: ReadonlyMap<string, number>,
): string {
  const taken: SupplyOutlet[] = [];
  let key = '';
  for (const { poolIndex } of adapters) key += `${poolIndex},`;
  for (const { from, to } of joints) {
    if (from.kind === 'connector') key += from.adapter + from.fitting;
    else {
      const outlet = outlets.get(from.outletId);
      if (outlet !== undefined) taken.push(outlet);
    }
    key +=
      to.kind === 'plug' ? `>${to.adapter}${to.fitting};` : `>${placeOfInlet.get(to.inletId)}${to.configurationId};`;
  }
  return key + hookUpClassKey(taken);
}

/** For each inlet the place of the first one with the same facts. */
function likePlaces(inlets: readonly Inlet[]): ReadonlyMap<string, number> {
  const first = new Map<string, number>();
  const places = new Map<string, number>();
  inlets.forEach(({ id, ...facts }, place) => {
    const key = JSON.stringify(facts);
    const known = first.get(key) ?? place;
    first.set(key, known);
    places.set(id, known);
  });
  return places;
}
