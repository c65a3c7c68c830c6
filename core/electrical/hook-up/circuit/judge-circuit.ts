import type { Finding } from '../../../findings.ts';
import { magnitude } from '../../complex.ts';
import type { LoadElement } from '../../power-flow/network.ts';
import type { HookUp, HookUpContext } from '../hook-up.ts';
import { judgeProtection } from '../protection-rules.ts';
import type { TracedHookUp } from '../trace.ts';
import { buildCircuit } from './build-circuit.ts';
import type { HookUpCircuit, LoadPort } from './circuit.ts';
import { judgeNeutrals, largestA } from './judge-amperes.ts';
import { judgeResidual } from './judge-residual.ts';
import { judgeUnplugged } from './judge-unplugged.ts';
import { deadV, judgeVolts, rounded } from './judge-volts.ts';
import { limitCases, type PortLimit, portLimits, resistorCases } from './load-cases.ts';
import { type PreparedCircuit, prepareCircuit, type SolvedCircuit } from './solve-circuit.ts';
import { statedLoads } from './stated-loads.ts';

/**
 * Solves the circuit of each part of a hook-up that hangs together and reads the findings from its volts and amperes.
 * What a part lacks in known lines or systems is asked elsewhere, and nothing is read from a guess.
 */
export function judgeCircuits(hookUp: HookUp, traced: TracedHookUp, context: HookUpContext): Finding[] {
  return partsOf(hookUp).flatMap((part) => judgePart(part, traced, context));
}

function judgePart(part: HookUp, whole: TracedHookUp, context: HookUpContext): Finding[] {
  const ids = new Set(part.joints.flatMap(({ to }) => (to.kind === 'inlet' ? [to.inletId] : [])));
  const traced: TracedHookUp = { ...whole, inlets: whole.inlets.filter(({ inlet }) => ids.has(inlet.id)) };
  const circuit = buildCircuit(part, context);
  if (circuit === null) return judgeProtection(traced, context, null);
  const prepared = prepareCircuit(circuit.elements);
  const limits = portLimits(circuit, traced.inlets, context);
  const ports = limits.map(({ port }) => port);
  const superposed = prepared.superpose(ports);
  const unloaded = superposed?.([]) ?? prepared.solve([]);
  if (superposed === null || unloaded.status !== 'solved')
    return [unsolved(traced, unloaded.status === 'solved' ? '' : unloaded.where)];
  const cases = limitCases(limits, 'heldA');
  const held = cases.map(superposed);
  const split = splitNeutrals(circuit).flatMap((open) => {
    const kept = prepared.superpose(ports, open);
    return kept === null ? [] : cases.map(kept);
  });
  // A leg without volts of its own takes them through resistors from another.
  const ofResistors = ports.some((port) => isDead(port, unloaded))
    ? resistorCases(limits).flatMap((loads) => {
        const solution = prepared.solve(loads);
        return solution.status === 'solved' ? [solution] : [];
      })
    : [];
  const stated = solvedStated(prepared, statedLoads(context.boat, circuit));
  const volts = { unloaded, loaded: [...held, ...ofResistors], stated };
  const outlets = whole.outlets.filter(({ id }) => circuit.poles.some(({ outlet }) => outlet.id === id));
  const labelOf = (kindId: string) => context.adapterKinds.get(kindId)?.name ?? kindId;
  return [
    ...traced.inlets.flatMap((inlet) => judgeVolts(inlet, circuit, volts, context)),
    ...adapterVolts(circuit, unloaded),
    ...judgeNeutrals(circuit, traced.inlets, [...held, ...split]),
    ...judgeProtection(traced, context, passedAmperes(superposed, limits)),
    ...judgeResidual(circuit, traced.inlets, outlets, [...held, ...split]),
    ...judgeUnplugged(circuit, prepared, limits, labelOf),
  ];
}

/** Amperes in a conductor with all that the breakers pass, where that is more than the conductors are rated for. */
function passedAmperes(superposed: (amperesOf: readonly number[]) => SolvedCircuit, limits: readonly PortLimit[]) {
  let solutions: readonly SolvedCircuit[] | null = null;
  return (elementId: string): number => {
    solutions ??= limitCases(limits, 'passedA').map(superposed);
    return largestA(solutions, elementId);
  };
}

function isDead({ from, to }: LoadPort, unloaded: SolvedCircuit): boolean {
  const volts = unloaded.between(from, to);
  return volts === null || magnitude(volts) < deadV;
}

function solvedStated(prepared: PreparedCircuit, loads: readonly LoadElement[] | null): SolvedCircuit | null {
  const solution = loads === null ? null : prepared.solve(loads);
  return solution?.status === 'solved' ? solution : null;
}

/**
 * Where neutrals meet, each in turn carries everything: how contacts share is not known. They meet in an adapter with
 * several plugs, whether these are in outlets or in another adapter's connectors, and behind several outlets.
 */
function splitNeutrals({ poles, plugs }: HookUpCircuit): ReadonlySet<string>[] {
  const ofOutlets = poles.flatMap(({ terminal, elementId }) => (terminal === 'N' ? [elementId] : []));
  const ofAdapters = new Map<string, string[]>();
  for (const { adapter, fitting, elementIds } of plugs) {
    const neutral = elementIds.filter((id) => id === `contact ${adapter}.${fitting}.N`);
    ofAdapters.set(adapter, [...(ofAdapters.get(adapter) ?? []), ...neutral]);
  }
  const meeting = new Map([ofOutlets, ...ofAdapters.values()].map((neutrals) => [neutrals.join(), neutrals]));
  return [...meeting.values()].flatMap((neutrals) =>
    neutrals.length < 2 ? [] : neutrals.map((kept) => new Set(neutrals.filter((each) => each !== kept))),
  );
}

/** The highest volts between contacts of an adapter's connector, ground included, against its rating. */
function adapterVolts({ fittings }: HookUpCircuit, unloaded: SolvedCircuit): Finding[] {
  return fittings.flatMap(({ kindId, label, contacts, ratedV }): Finding[] => {
    const ends = [...contacts, '0'];
    let highestV = 0;
    for (const a of ends) {
      for (const b of ends) {
        const volts = unloaded.between(a, b);
        if (volts !== null) highestV = Math.max(highestV, rounded(magnitude(volts)));
      }
    }
    if (highestV <= ratedV) return [];
    return [
      {
        rule: 'hookup.adapterVolts',
        level: 'refuse',
        subject: { kind: 'adapter', id: kindId, label },
        actual: highestV,
        limit: ratedV,
        unit: 'V',
        source: 'the rating marked on the adapter',
        message: `${label} is rated ${ratedV} V and would stand at ${highestV} V. Use a piece rated for the supply.`,
        mend: `an adapter rated ${highestV} V or more`,
      },
    ];
  });
}

function unsolved({ inlets }: TracedHookUp, where: string): Finding {
  const subject = inlets[0]?.subject ?? { kind: 'inlet' as const, id: where, label: where };
  return {
    rule: 'hookup.unsolved',
    level: 'refuse',
    subject,
    actual: where,
    limit: null,
    unit: null,
    source: 'the circuit as described',
    message: `Nothing settles the volts of ${where}: the circuit of inlet ${subject.label} has an open end. Use another adapter or outlet.`,
    mend: 'an adapter whose conductors are whole',
  };
}

/** Joints and adapters that hang together by an adapter; parts do not influence each other behind stiff sources. */
function partsOf(hookUp: HookUp): HookUp[] {
  const { adapters, joints } = hookUp;
  if (adapters.length === 0) return joints.map((joint) => ({ adapters: [], joints: [joint] }));
  const parent = new Map(adapters.map(({ ref }) => [ref, ref]));
  const rootOf = (ref: string): string => {
    const above = parent.get(ref) ?? ref;
    return above === ref ? ref : rootOf(above);
  };
  for (const { from, to } of joints) {
    if (from.kind === 'connector' && to.kind === 'plug') parent.set(rootOf(from.adapter), rootOf(to.adapter));
  }
  const parts = new Map<string, { adapters: HookUp['adapters'][number][]; joints: HookUp['joints'][number][] }>();
  joints.forEach((joint, i) => {
    const { from, to } = joint;
    const ref = to.kind === 'plug' ? to.adapter : from.kind === 'connector' ? from.adapter : null;
    const key = ref === null ? `${i}` : rootOf(ref);
    const part = parts.get(key) ?? { adapters: adapters.filter((each) => rootOf(each.ref) === key), joints: [] };
    part.joints.push(joint);
    parts.set(key, part);
  });
  return [...parts.values()];
}
