import type { PowerFlowElement, PowerFlowNetwork } from '../../../../core/electrical/power-flow/network.ts';

/** What a circuit simulator is asked, and under which name it answers for each terminal and current. */
export interface SpiceDeck {
  readonly text: string;
  readonly voltageNames: ReadonlyMap<string, string>;
  /** By element and its conductor or winding, positive from the first end to the second. */
  readonly currentNames: readonly (readonly [{ readonly elementId: string; readonly part?: string }, string])[];
}

/**
 * Writes a linear network as a deck for an AC analysis at one frequency, volts as rms. Reactances become inductors,
 * coupled reactances coupled inductors, coupled resistances current-controlled sources, an ideal core a node whose
 * volts every winding follows.
 */
export function writeSpiceDeck(network: PowerFlowNetwork, frequencyHz: number): SpiceDeck {
  const omega = 2 * Math.PI * frequencyHz;
  const lines: string[] = [];
  const voltageNames = new Map<string, string>();
  const currentNames: [{ elementId: string; part?: string }, string][] = [];
  let count = 0;
  const fresh = (): string => `x${++count}`;
  const node = (terminal: string): string => {
    if (terminal === '0') return '0';
    const name = voltageNames.get(terminal) ?? `t${voltageNames.size + 1}`;
    voltageNames.set(terminal, name);
    return name;
  };
  /** A source of 0 V that measures the current from one node on; the node behind it. */
  const meter = (key: { elementId: string; part?: string }, from: string): { behind: string; name: string } => {
    const behind = fresh();
    const name = `vm${++count}`;
    lines.push(`${name} ${from} ${behind} dc 0 ac 0`);
    currentNames.push([key, name]);
    return { behind, name };
  };
  /** Resistance and reactance in series; the inductor's name where there is one. */
  const series = (from: string, to: string, ohm: number, reactanceOhm: number): string | null => {
    const middle = reactanceOhm === 0 ? to : fresh();
    lines.push(ohm === 0 ? `vz${++count} ${from} ${middle} dc 0 ac 0` : `r${++count} ${from} ${middle} ${ohm}`);
    if (reactanceOhm === 0) return null;
    if (reactanceOhm < 0) throw new Error('capacitive series impedance is not covered');
    const name = `l${++count}`;
    lines.push(`${name} ${middle} ${to} ${reactanceOhm / omega}`);
    return name;
  };
  const write = (element: PowerFlowElement): void => {
    switch (element.kind) {
      case 'source': {
        const { behind } = meter({ elementId: element.id }, node(element.plus));
        const angle = element.angleDeg === 0 ? '' : ` ${element.angleDeg}`;
        lines.push(`v${++count} ${behind} ${node(element.minus)} dc 0 ac ${element.voltageV}${angle}`);
        break;
      }
      case 'impedance': {
        const { behind } = meter({ elementId: element.id }, node(element.from));
        series(behind, node(element.to), element.resistanceOhm, element.reactanceOhm);
        break;
      }
      case 'switch':
        if (element.closed) lines.push(`v${++count} ${node(element.from)} ${node(element.to)} dc 0 ac 0`);
        break;
      case 'load': {
        if (element.demand.model !== 'constantImpedance') throw new Error('linear loads only');
        const { behind } = meter({ elementId: element.id }, node(element.from));
        series(behind, node(element.to), element.demand.resistanceOhm, element.demand.reactanceOhm);
        break;
      }
      case 'line': {
        const meters = element.conductors.map(({ name, from }) =>
          meter({ elementId: element.id, part: name }, node(from)),
        );
        const inductors = element.conductors.map(({ to }, i) => {
          let at = meters[i]?.behind ?? '';
          meters.forEach((other, j) => {
            const mutualOhm = element.resistanceOhm[i]?.[j] ?? 0;
            if (i === j || mutualOhm === 0) return;
            const next = fresh();
            lines.push(`h${++count} ${at} ${next} ${other.name} ${mutualOhm}`);
            at = next;
          });
          return series(at, node(to), element.resistanceOhm[i]?.[i] ?? 0, element.reactanceOhm[i]?.[i] ?? 0);
        });
        inductors.forEach((one, i) => {
          inductors.slice(i + 1).forEach((other, offset) => {
            const j = i + 1 + offset;
            const mutual = element.reactanceOhm[i]?.[j] ?? 0;
            if (one === null || other === null || mutual === 0) return;
            const self = Math.sqrt((element.reactanceOhm[i]?.[i] ?? 0) * (element.reactanceOhm[j]?.[j] ?? 0));
            lines.push(`k${++count} ${one} ${other} ${mutual / self}`);
          });
        });
        break;
      }
      case 'transformer': {
        if (element.core !== undefined) throw new Error('no-load current is not covered');
        const core = fresh();
        // A vast resistor gives the core's node a path to ground, as the simulator wants.
        lines.push(`r${++count} ${core} 0 1e15`);
        for (const winding of element.windings) {
          const { behind, name } = meter({ elementId: element.id, part: winding.name }, node(winding.plus));
          const end = fresh();
          series(behind, end, winding.resistanceOhm, winding.reactanceOhm);
          lines.push(`e${++count} ${end} ${node(winding.minus)} ${core} 0 ${winding.ratedV}`);
          lines.push(`f${++count} 0 ${core} ${name} ${winding.ratedV}`);
        }
        break;
      }
      case 'admittance':
        throw new Error('admittances are not covered');
    }
  };
  for (const element of network.elements) write(element);
  const asked = [
    ...[...voltageNames.values()].map((name) => `v(${name})`),
    ...currentNames.map(([, name]) => `i(${name})`),
  ];
  const text = [
    'Power flow as a circuit',
    ...lines,
    '.options reltol=1e-9 gmin=1e-18',
    '.control',
    'set numdgt=14',
    `ac lin 1 ${frequencyHz} ${frequencyHz}`,
    ...asked.map((name) => `print ${name}`),
    'quit 0',
    '.endc',
    '.end',
    '',
  ].join('\n');
  return { text, voltageNames, currentNames };
}
