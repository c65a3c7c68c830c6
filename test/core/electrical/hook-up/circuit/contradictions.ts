import { buildCircuit } from '../../../../../core/electrical/hook-up/circuit/build-circuit.ts';
import { type HookUpCircuit, networkOf } from '../../../../../core/electrical/hook-up/circuit/circuit.ts';
import { loadAt } from '../../../../../core/electrical/hook-up/circuit/load-cases.ts';
import type { HookUp, HookUpContext, JudgedHookUp } from '../../../../../core/electrical/hook-up/hook-up.ts';
import { judgedHookUp } from '../../../../../core/electrical/hook-up/judge.ts';
import type { LoadElement } from '../../../../../core/electrical/power-flow/network.ts';
import { type PlainVolts, plainSolve } from './plain-solve.ts';

export interface Inputs {
  readonly hookUp: HookUp;
  readonly context: HookUpContext;
}

export interface Checked {
  readonly judged: JudgedHookUp;
  readonly isSafe: boolean;
  /** Load cases solved plainly in which no breaker opened. */
  readonly solves: number;
  /** Limits that a plain solve passes and no finding speaks of. */
  readonly contradictions: readonly string[];
}

const touchableV = 25;

/**
 * Judges a hook-up, and where the verdict is safe (clear or cautioned) solves its circuit plainly with random loads that
 * the boat's main breakers pass. A case in which a breaker ashore, in an adapter or aboard would open counts for nothing.
 */
export function checkPlainly({ hookUp, context }: Inputs, random: () => number, cases: number): Checked {
  const judged = judgedHookUp(hookUp, context);
  const isSafe = judged.verdict === 'clear' || judged.verdict === 'cautioned';
  const contradictions: string[] = [];
  if (!isSafe) return { judged, isSafe, solves: 0, contradictions };
  const circuit = buildCircuit(hookUp, context);
  if (circuit === null) return { judged, isSafe, solves: 0, contradictions: ['safe with unknown lines'] };
  const said = (rule: string, inletId: string | null) =>
    judged.findings.some((each) => each.rule === rule && (inletId === null || each.subject.id === inletId));
  const unloaded = plainSolve(networkOf(circuit, []).elements);
  let solves = 0;
  for (const open of [new Set<string>(), ...neutralsApart(circuit)]) {
    for (let i = 0; i < cases; i++) {
      const loads = randomLoads(circuit, unloaded, context, random);
      const { elements } = networkOf(circuit, loads, open);
      const volts = plainSolve(elements);
      const amperes = (elementId: string) => ampereOf(circuit, open, volts, elementId);
      if (opensBreaker(circuit, hookUp, context, amperes)) continue;
      solves++;
      for (const { elementId, ratedA, what, inletId } of circuit.conductors) {
        const actual = Math.hypot(...amperes(elementId));
        if (actual > ratedA * 1.0001 && !said('hookup.conductorBelowBreaker', inletId))
          contradictions.push(`${what} ${elementId} carries ${actual} A of ${ratedA} A`);
      }
      for (const [label, limitMa, residual] of residuals(circuit, amperes))
        if (residual > limitMa && !said('hookup.residual', null))
          contradictions.push(`${label}: residual ${residual} mA against ${limitMa} mA`);
      if (open.size > 0) continue;
      for (const port of circuit.ports) {
        const load = loads.find(({ id }) => id === `load ${port.id}`);
        if (load === undefined) continue;
        const actual = Math.hypot(...difference(volts(port.from), volts(port.to)));
        const isNamed = ['voltageDrop', 'deadLeg', 'sameLine', 'reducedVoltage'].some((rule) =>
          said(`hookup.${rule}`, port.inletId),
        );
        if ((actual < port.lowestV * 0.9999 || actual > port.highestV * 1.0001) && !isNamed)
          contradictions.push(`${port.id} has ${actual} V, built for ${port.lowestV} to ${port.highestV} V`);
      }
    }
  }
  for (const plug of circuit.plugs) {
    if (plug.interlock) continue;
    const loads = randomLoads(circuit, unloaded, context, random);
    const volts = plainSolve(networkOf(circuit, loads, new Set(plug.elementIds)).elements);
    for (const contact of plug.contacts) {
      const bare = volts(contact);
      if (bare !== null && Math.hypot(...bare) > touchableV && !said('hookup.exposedContacts', null))
        contradictions.push(`${contact} pulled stands at ${Math.hypot(...bare)} V`);
    }
  }
  return { judged, isSafe, solves, contradictions };
}

function difference(
  a: readonly [number, number] | null,
  b: readonly [number, number] | null,
): readonly [number, number] {
  return a === null || b === null ? [0, 0] : [a[0] - b[0], a[1] - b[1]];
}

/**
 * Any share of the boat's main breaker on each leg at the volts that it has without load, often all or nothing; between
 * lines only where such loads may be.
 */
function randomLoads(
  circuit: HookUpCircuit,
  unloaded: PlainVolts,
  { boat }: HookUpContext,
  random: () => number,
): LoadElement[] {
  return circuit.ports.flatMap((port) => {
    const inlet = boat.inlets.find(({ id }) => id === port.inletId);
    const isLeg = port.legs[1] === 'N';
    const hasLegs = circuit.ports.some((each) => each.inletId === port.inletId && each.legs[1] === 'N');
    if (!isLeg && hasLegs && (inlet?.needsLineToLine?.value === false || random() < 0.7)) return [];
    const share = random() < 0.4 ? 1 : random();
    if (random() < 0.3) return [];
    const mainA = inlet?.mainBreakerA?.value ?? 100;
    // Legs that share a main breaker with what is between them take half each.
    const limitA =
      !isLeg || !hasLegs ? mainA / (hasLegs ? 2 : 1) : mainA / (inlet?.needsLineToLine?.value === false ? 1 : 2);
    // A dead leg has no volts of its own: what is back-fed to it is what its rated volts would drive.
    const aloneV = Math.hypot(...difference(unloaded(port.from), unloaded(port.to)));
    const resistanceOhm = (aloneV < 1 ? port.ratedV : aloneV) / Math.max(0.01, share * limitA);
    return [loadAt(port, { model: 'constantImpedance', resistanceOhm, reactanceOhm: 0 })];
  });
}

function ampereOf(
  circuit: HookUpCircuit,
  open: ReadonlySet<string>,
  volts: PlainVolts,
  elementId: string,
): readonly [number, number] {
  const element = circuit.elements.find(({ id }) => id === elementId);
  if (element?.kind !== 'impedance' || open.has(elementId)) return [0, 0];
  const [re, im] = difference(volts(element.from), volts(element.to));
  return [re / element.resistanceOhm, im / element.resistanceOhm];
}

type AmpereOf = (elementId: string) => readonly [number, number];

function opensBreaker(circuit: HookUpCircuit, hookUp: HookUp, context: HookUpContext, amperes: AmpereOf): boolean {
  const isOutletOpen = circuit.poles.some(
    ({ outlet, terminal, elementId }) =>
      terminal !== 'N' && terminal !== 'G' && Math.hypot(...amperes(elementId)) > (outlet.breakerA ?? 0),
  );
  const isMainOpen = context.boat.inlets.some(({ id, mainBreakerA }) =>
    circuit.conductors.some(
      ({ inletId, isNeutral, elementId }) =>
        inletId === id &&
        !isNeutral &&
        Math.hypot(...amperes(elementId)) > (mainBreakerA?.value ?? Number.POSITIVE_INFINITY),
    ),
  );
  return (
    isOutletOpen ||
    isMainOpen ||
    hookUp.adapters.some(({ ref, kindId }) =>
      context.adapterKinds
        .get(kindId)
        ?.conductors.some(
          ({ breakerA }, i) => breakerA !== null && Math.hypot(...amperes(`adapter ${ref}.${i}`)) > breakerA,
        ),
    )
  );
}

/** Where several outlets' neutrals meet: each of them alone. */
function neutralsApart(circuit: HookUpCircuit): ReadonlySet<string>[] {
  const kept = circuit.plugs.map((plug) => plug.adapter);
  return [...new Set(kept)].flatMap((adapter) => {
    const plugs = circuit.plugs.filter((plug) => plug.adapter === adapter);
    const neutrals = plugs.flatMap(({ elementIds }) => elementIds.filter((id) => id.endsWith('.N')));
    return neutrals.map((one) => new Set(neutrals.filter((each) => each !== one)));
  });
}

/** Each fitted device with what it bears and sees, mA. */
function residuals(circuit: HookUpCircuit, amperes: AmpereOf): [string, number, number][] {
  const sums = new Map<string, { limitMa: number; re: number; im: number }>();
  for (const { outlet, terminal, elementId } of circuit.poles) {
    if (terminal === 'G') continue;
    const [re, im] = amperes(elementId);
    const add = (label: string, limitMa: number) => {
      const sum = sums.get(label) ?? { limitMa, re: 0, im: 0 };
      sums.set(label, { limitMa, re: sum.re + re, im: sum.im + im });
    };
    const { device, settingMa } = outlet.groundFault;
    if (device === 'fitted') add(`outlet ${outlet.id}`, settingMa ?? 30);
    for (const above of outlet.devicesAbove) if (above.device === 'fitted') add(above.equipmentId, 30);
  }
  return [...sums].map(([label, { limitMa, re, im }]) => [label, limitMa, Math.hypot(re, im) * 1000]);
}
