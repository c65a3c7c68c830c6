import type { LineName } from '../../../standards/configuration.ts';
import { angleDeg, type Complex, magnitude } from '../../complex.ts';
import type { LoadElement } from '../../power-flow/network.ts';
import type { HookUp, HookUpContext } from '../hook-up.ts';
import { traceHookUp } from '../trace.ts';
import { buildCircuit } from './build-circuit.ts';
import type { HookUpCircuit, LoadPort } from './circuit.ts';
import { residualMa, seeingDevices } from './judge-residual.ts';
import { loadAt, portLimits } from './load-cases.ts';
import { prepareCircuit, type SolvedCircuit } from './solve-circuit.ts';

/** A load as an engineer puts it on an inlet. */
export interface CalculatorLoad {
  readonly inletId: string;
  readonly from: LineName;
  readonly to: LineName | 'N';
  readonly demand:
    | { readonly model: 'resistive'; readonly resistanceOhm: number }
    /** In phase with its own volts, whatever they are. */
    | { readonly model: 'constantCurrent'; readonly currentA: number }
    | { readonly model: 'constantPower'; readonly powerW: number; readonly reactivePowerVar: number };
}

interface Polar {
  readonly magnitude: number;
  readonly angleDeg: number;
}

/** A circuit as solved, for people and for checks from outside. Volts, amperes (rms), degrees. */
export interface CircuitAnswer {
  readonly status: 'solved' | 'notSolved';
  readonly why: string | null;
  readonly volts: readonly {
    readonly inletId: string;
    readonly between: readonly (LineName | 'N')[];
    readonly ratedV: number;
    readonly unloaded: Polar | null;
    readonly loaded: Polar | null;
    readonly loadA: number;
  }[];
  readonly contacts: readonly {
    readonly outletId: string;
    readonly contact: LineName | 'N' | 'G';
    readonly amperes: Polar;
    readonly breakerA: number | null;
  }[];
  readonly conductors: readonly {
    readonly what: string;
    readonly elementId: string;
    readonly amperes: number;
    readonly ratedA: number;
  }[];
  readonly devices: readonly {
    readonly label: string;
    readonly device: 'fitted' | 'none' | 'unknown';
    readonly settingMa: number | null;
    readonly residualMa: number;
  }[];
  readonly lossW: number;
}

/** Solves a hook-up's circuit with these loads, or with every leg at what its breakers pass; never throws. */
export function answerCircuit(
  hookUp: HookUp,
  context: HookUpContext,
  given: readonly CalculatorLoad[] | null,
): CircuitAnswer {
  const circuit = buildCircuit(hookUp, context);
  if (circuit === null) return notSolved('The lines or the supply system of an outlet are unknown.');
  const loads = given === null ? fullLoads(circuit, hookUp, context) : loadsOn(circuit, given);
  if (typeof loads === 'string') return notSolved(loads);
  const prepared = prepareCircuit(circuit.elements);
  const unloaded = prepared.solve([]);
  if (unloaded.status !== 'solved')
    return notSolved(`Nothing settles the volts of "${unloaded.where}": an end is open.`);
  const loaded = prepared.solve(loads);
  if (loaded.status === 'notConverged')
    return notSolved(`No steady volts were found at which "${loaded.where}" gets what it asks for. Reduce the load.`);
  if (loaded.status !== 'solved') return notSolved(`Nothing settles the volts of "${loaded.where}": an end is open.`);
  return answer(circuit, unloaded, loaded, context);
}

function notSolved(why: string): CircuitAnswer {
  return { status: 'notSolved', why, volts: [], contacts: [], conductors: [], devices: [], lossW: 0 };
}

function fullLoads(circuit: HookUpCircuit, hookUp: HookUp, context: HookUpContext): LoadElement[] {
  const { inlets } = traceHookUp(hookUp, context);
  const limits = portLimits(circuit, inlets, context);
  const legs = limits.filter(({ port }) => port.legs[1] === 'N');
  return (legs.length > 0 ? legs : limits).map(({ port, passedA }) =>
    loadAt(port, { model: 'constantImpedance', resistanceOhm: port.ratedV / passedA, reactanceOhm: 0 }),
  );
}

/** The loads, or why one of them cannot hang where it is put. */
function loadsOn({ ports }: HookUpCircuit, given: readonly CalculatorLoad[]): LoadElement[] | string {
  const loads: LoadElement[] = [];
  for (const { inletId, from, to, demand } of given) {
    const port = ports.find(
      (each) =>
        each.inletId === inletId && each.transformer !== 'primary' && each.legs[0] === from && each.legs[1] === to,
    );
    if (port === undefined) {
      const known = ports.map((each) => each.id).join(', ') || 'nowhere';
      return `Inlet "${inletId}" has no load between ${from} and ${to}: loads can hang at ${known}.`;
    }
    const load = loadAt(port, demandAt(port, demand));
    loads.push({ ...load, id: `${load.id} ${loads.length + 1}` });
  }
  return loads;
}

function demandAt({ ratedV }: LoadPort, demand: CalculatorLoad['demand']): LoadElement['demand'] {
  if (demand.model === 'resistive')
    return { model: 'constantImpedance', resistanceOhm: demand.resistanceOhm, reactanceOhm: 0 };
  if (demand.model === 'constantPower') return demand;
  return { model: 'constantCurrent', powerW: demand.currentA * ratedV, reactivePowerVar: 0, ratedV };
}

function answer(
  circuit: HookUpCircuit,
  unloaded: SolvedCircuit,
  loaded: SolvedCircuit,
  { outlets }: HookUpContext,
): CircuitAnswer {
  const joined = [...new Set(circuit.poles.map(({ outlet }) => outlet.id))].flatMap((id) => outlets.get(id) ?? []);
  let lossW = 0;
  for (const element of circuit.elements)
    if (element.kind === 'impedance') lossW += element.resistanceOhm * magnitude(loaded.currentA(element.id)) ** 2;
  return {
    status: 'solved',
    why: null,
    volts: circuit.ports
      .filter(({ transformer }) => transformer !== 'primary')
      .map((port) => ({
        inletId: port.inletId,
        between: port.legs,
        ratedV: port.ratedV,
        unloaded: polar(unloaded.between(port.from, port.to)),
        loaded: polar(loaded.between(port.from, port.to)),
        loadA: loadA(loaded, port),
      })),
    contacts: circuit.poles.map(({ outlet, terminal, elementId }) => ({
      outletId: outlet.id,
      contact: terminal,
      amperes: polar(loaded.currentA(elementId)) ?? { magnitude: 0, angleDeg: 0 },
      breakerA: terminal === 'N' || terminal === 'G' ? null : outlet.breakerA,
    })),
    conductors: circuit.conductors.map(({ what, elementId, ratedA }) => ({
      what,
      elementId,
      amperes: rounded(magnitude(loaded.currentA(elementId))),
      ratedA,
    })),
    devices: seeingDevices(joined).map((each) => ({
      label: each.label,
      device: each.device,
      settingMa: each.settingMa,
      residualMa: rounded(residualMa(circuit, loaded, each)),
    })),
    lossW: rounded(lossW),
  };
}

/** What hangs at a port is what its inlet's loads there draw; several add up. */
function loadA(loaded: SolvedCircuit, port: LoadPort): number {
  let re = 0;
  let im = 0;
  for (let i = 0; i <= 24; i++) {
    const amperes = loaded.currentA(i === 0 ? `load ${port.id}` : `load ${port.id} ${i}`);
    re += amperes.re;
    im += amperes.im;
  }
  return rounded(Math.hypot(re, im));
}

function polar(value: Complex | null): Polar | null {
  return value === null ? null : { magnitude: rounded(magnitude(value)), angleDeg: rounded(angleDeg(value)) };
}

/** To a millionth: what is below is rounding of the solve. */
function rounded(value: number): number {
  return Math.round(value * 1e6) / 1e6;
}
