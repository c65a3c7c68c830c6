import { checkNetwork } from './check-network.ts';
import { ownerOf, writeEquations } from './equations.ts';
import { groundTerminal, type LoadElement, type PowerFlowNetwork } from './network.ts';
import { solveEquations } from './newton.ts';
import type { PowerFlowProblem } from './problems.ts';
import { type PowerFlowSolution, readSolution } from './results.ts';
import { looseEnd, readTopology, type Topology } from './topology.ts';

export type PowerFlowResult = PowerFlowSolution | PowerFlowFailure;

export interface PowerFlowFailure {
  /**
   * `invalid`: the document cannot be solved as it stands. `singular`: its equations leave something open.
   * `notConverged`: no volts were found at which every load gets what it demands.
   */
  readonly status: 'invalid' | 'singular' | 'notConverged';
  readonly problems: readonly PowerFlowProblem[];
}

/**
 * Solves a network for its volts and amperes. Unbalanced, with any number of conductors, neutral included; a load of
 * constant power stays so at any voltage. Time grows linearly with the number of terminals on a tree. Bad data is
 * answered, never thrown: a failure names the element or terminal and what to do.
 *
 * An island that nothing ties to ground is solved, with its volts counted from one of its own terminals.
 */
export function solvePowerFlow(network: PowerFlowNetwork): PowerFlowResult {
  const faults = checkNetwork(network);
  if (faults.length > 0) return { status: 'invalid', problems: faults };
  const topology = readTopology(network);
  if (topology.problems.length > 0) return { status: 'invalid', problems: topology.problems };

  const equations = writeEquations(network, topology);
  const result = solveEquations(equations);
  switch (result.outcome) {
    case 'converged':
      return readSolution(network, topology, equations, result.unknowns, result.iterations);
    case 'singular':
      return { status: 'singular', problems: [undetermined(ownerOf(network, topology, equations, result.unknown))] };
    case 'tooMeshed':
      return { status: 'invalid', problems: [tooMeshed(ownerOf(network, topology, equations, result.unknown))] };
    case 'notConverged': {
      const load = equations.loads.elements[result.worstLoad];
      return { status: 'notConverged', problems: load === undefined ? [] : [collapse(network, topology, load)] };
    }
  }
}

type Owner = { readonly elementId: string } | { readonly terminal: string };

function tooMeshed(owner: Owner): PowerFlowProblem {
  const elementId = 'elementId' in owner ? owner.elementId : null;
  const terminal = 'terminal' in owner ? owner.terminal : null;
  const where = elementId === null ? `terminal "${terminal}"` : `"${elementId}"`;
  return {
    reason: 'tooMeshed',
    elementId,
    terminal,
    message: `Too many rings meet near ${where} to be solved here: open most of them, or solve the network in parts.`,
  };
}

function undetermined(owner: Owner): PowerFlowProblem {
  const elementId = 'elementId' in owner ? owner.elementId : null;
  const terminal = 'terminal' in owner ? owner.terminal : null;
  return {
    reason: 'undetermined',
    elementId,
    terminal,
    message:
      elementId === null
        ? `Nothing settles the volts of terminal "${terminal}": join it to the rest, or leave it out.`
        : `Nothing settles the amperes of "${elementId}": look for parallel links or windings without impedance.`,
  };
}

function collapse(network: PowerFlowNetwork, topology: Topology, load: LoadElement): PowerFlowProblem {
  const loose = looseEnd(network, topology, load);
  if (loose !== null) {
    return {
      reason: 'noReturnPath',
      elementId: load.id,
      terminal: loose,
      message: `Load "${load.id}" has no return path from its terminal "${loose}": close its neutral or other conductor.`,
    };
  }
  const demand =
    load.demand.model === 'constantImpedance'
      ? 'its current'
      : `${load.demand.powerW} W and ${load.demand.reactivePowerVar} var`;
  return {
    reason: 'collapse',
    elementId: load.id,
    terminal: load.from === groundTerminal ? load.to : load.from,
    message:
      `No steady volts were found at which load "${load.id}" between "${load.from}" and "${load.to}" gets ${demand}: ` +
      'its conductors are too long or too thin for it, or its neutral is open. Reduce the load or mend the supply.',
  };
}
