import { readdirSync, readFileSync } from 'node:fs';
import type { PowerFlowElement, PowerFlowNetwork } from '../../../../core/electrical/power-flow/network.ts';

/** A published case as it is kept in test/reference/power-flow: its own format, with its citation inside. */
export interface PublishedCase {
  readonly case: string;
  readonly title: string;
  readonly source: { readonly title: string };
  readonly network: PublishedNetwork;
  readonly expected: readonly PublishedFigure[];
  readonly recommended_tolerance: PublishedTolerance;
}

type Part = readonly [number, number];

interface PublishedNetwork {
  readonly sources: readonly { id: string; from: string; to: string; mag_v: number; deg: number }[];
  readonly lines?: readonly {
    id: string;
    conductors: readonly string[];
    from_terminals: readonly string[];
    to_terminals: readonly string[];
    z_total_ohm: readonly (readonly Part[])[];
  }[];
  readonly shunts?: readonly { id: string; from: string; to: string; y_siemens: Part }[];
  readonly transformers?: readonly {
    id: string;
    windings: readonly { id: string; plus: string; minus: string; rated_v: number; z_ohm_own_side: Part }[];
    core_shunt?: { at: 'star_point' | 'winding_terminals'; referred_to_winding: string; y_siemens: Part };
  }[];
  readonly loads: readonly PublishedLoad[];
  readonly linear_devices?: readonly {
    id: string;
    voltage_pairs: readonly (readonly [string, string])[];
    terminals: readonly string[];
    /** Amperes into each terminal for the volts across each pair. */
    y_siemens: readonly (readonly Part[])[];
  }[];
}

type PublishedLoad = { id: string; from: string; to: string } & (
  | { model: 'constant_power'; p_w: number; q_var: number }
  | { model: 'constant_current'; p_w: number; q_var: number; rated_v: number }
  | { model: 'constant_impedance'; z_ohm: Part }
);

export interface PublishedTolerance {
  readonly mag_relative?: number;
  readonly mag_abs_v?: number;
  readonly mag_abs_a?: number;
  readonly deg?: number;
  readonly neutral_deg?: number;
  readonly rect_abs_v?: number;
  readonly rect_abs_a?: number;
}

export type CurrentFigure =
  | { quantity: 'line_current'; element: string; conductor: string }
  | { quantity: 'winding_current'; element: string; winding: string; sense?: 'into_plus' | 'out_of_plus' }
  | { quantity: 'load_current'; element: string }
  | { quantity: 'device_current'; element: string; terminal: string };

export type PublishedFigure = { suspect?: boolean; suspect_reason?: string; note?: string } & (
  | ((CurrentFigure | { quantity: 'voltage'; from: string; to: string }) & {
      mag: number;
      deg: number | null;
      rect?: Part;
      mag_decimals: number | null;
    })
  | {
      quantity: 'complex_power';
      v: readonly [string, string];
      i: CurrentFigure;
      p_w: number;
      q_var: number;
      decimals_kva?: number;
    }
);

const folder = new URL('../../../reference/power-flow/', import.meta.url);

export function readPublishedCases(): PublishedCase[] {
  const files = readdirSync(folder).filter((file) => file.endsWith('.json'));
  return files.sort().map((file): PublishedCase => JSON.parse(readFileSync(new URL(file, folder), 'utf8')));
}

export function toNetwork({ network }: PublishedCase): PowerFlowNetwork {
  const elements: PowerFlowElement[] = [];
  for (const { id, from, to, mag_v, deg } of network.sources) {
    elements.push({ kind: 'source', id, plus: from, minus: to, voltageV: mag_v, angleDeg: deg });
  }
  for (const line of network.lines ?? []) {
    elements.push({
      kind: 'line',
      id: line.id,
      conductors: line.conductors.map((name, at) => ({
        name,
        from: line.from_terminals[at] ?? '',
        to: line.to_terminals[at] ?? '',
      })),
      resistanceOhm: line.z_total_ohm.map((row) => row.map(([re]) => re)),
      reactanceOhm: line.z_total_ohm.map((row) => row.map(([, im]) => im)),
    });
  }
  for (const { id, from, to, y_siemens } of network.shunts ?? []) {
    elements.push({
      kind: 'admittance',
      id,
      ports: [{ name: 'shunt', plus: from, minus: to }],
      conductanceS: [[y_siemens[0]]],
      susceptanceS: [[y_siemens[1]]],
    });
  }
  for (const { id, windings, core_shunt } of network.transformers ?? []) {
    elements.push({
      kind: 'transformer',
      id,
      windings: windings.map(({ id: name, plus, minus, rated_v, z_ohm_own_side: [re, im] }) => ({
        name,
        plus,
        minus,
        ratedV: rated_v,
        resistanceOhm: re,
        reactanceOhm: im,
      })),
      ...(core_shunt && {
        core: {
          winding: core_shunt.referred_to_winding,
          at: core_shunt.at === 'star_point' ? 'idealCore' : 'windingTerminals',
          conductanceS: core_shunt.y_siemens[0],
          susceptanceS: core_shunt.y_siemens[1],
        },
      }),
    });
  }
  // A device's currents flow into single terminals and return through the first: they sum to zero over the terminals.
  for (const { id, terminals, voltage_pairs, y_siemens } of network.linear_devices ?? []) {
    const [first, ...rest] = terminals;
    const row = (terminal: string): readonly Part[] => y_siemens[terminals.indexOf(terminal)] ?? [];
    const ports = rest.map((terminal) => ({ name: terminal, plus: terminal, minus: first ?? '' }));
    // V(a, b) = V(a, first) - V(b, first), so each port collects the pairs it takes part in.
    const admittance = ports.map(({ name }) =>
      ports.map(({ plus }): Part => {
        let re = 0;
        let im = 0;
        voltage_pairs.forEach(([a, b], pair) => {
          const sign = (a === plus ? 1 : 0) - (b === plus ? 1 : 0);
          re += sign * (row(name)[pair]?.[0] ?? 0);
          im += sign * (row(name)[pair]?.[1] ?? 0);
        });
        return [re, im];
      }),
    );
    elements.push({
      kind: 'admittance',
      id,
      ports,
      conductanceS: admittance.map((y) => y.map(([re]) => re)),
      susceptanceS: admittance.map((y) => y.map(([, im]) => im)),
    });
  }
  for (const load of network.loads) {
    elements.push({ kind: 'load', id: load.id, from: load.from, to: load.to, demand: toDemand(load) });
  }
  return { elements };
}

function toDemand(load: PublishedLoad) {
  switch (load.model) {
    case 'constant_power':
      return { model: 'constantPower', powerW: load.p_w, reactivePowerVar: load.q_var } as const;
    case 'constant_current':
      return {
        model: 'constantCurrent',
        powerW: load.p_w,
        reactivePowerVar: load.q_var,
        ratedV: load.rated_v,
      } as const;
    case 'constant_impedance':
      return { model: 'constantImpedance', resistanceOhm: load.z_ohm[0], reactanceOhm: load.z_ohm[1] } as const;
  }
}
