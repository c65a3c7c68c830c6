import { groundTerminal, type PowerFlowElement, type PowerFlowNetwork, type TransformerElement } from './network.ts';
import type { PowerFlowProblem } from './problems.ts';

/** Every figure and name that cannot be solved with, element by element. */
export function checkNetwork(network: PowerFlowNetwork): PowerFlowProblem[] {
  const problems: PowerFlowProblem[] = [];
  const ids = new Set<string>();
  let sources = 0;
  for (const element of network.elements) {
    if (ids.has(element.id)) {
      problems.push({
        reason: 'duplicateId',
        elementId: element.id,
        terminal: null,
        message: `Two elements have the id "${element.id}": give each its own.`,
      });
    }
    ids.add(element.id);
    if (element.kind === 'source') sources++;
    checkElement(element, (message, terminal) =>
      problems.push({
        reason: 'badValue',
        elementId: element.id,
        terminal: terminal ?? null,
        message: `${element.kind} "${element.id}": ${message}`,
      }),
    );
  }
  if (sources === 0) {
    problems.push({
      reason: 'noSource',
      elementId: null,
      terminal: null,
      message: 'The network has no source: add one.',
    });
  }
  return problems;
}

type Complain = (message: string, terminal?: string) => void;

function checkElement(element: PowerFlowElement, complain: Complain): void {
  switch (element.kind) {
    case 'source':
      checkPair(element.plus, element.minus, complain);
      checkFinite('angleDeg', element.angleDeg, complain);
      checkPositive('voltageV', element.voltageV, complain);
      break;
    case 'line':
      if (element.conductors.length === 0) complain('has no conductor.');
      checkNames('conductor', element.conductors, complain);
      for (const { name, from, to, ratedA } of element.conductors) {
        checkTerminal(from, complain);
        checkTerminal(to, complain);
        checkRating('ratedA', ratedA, complain, name);
      }
      checkMatrix('resistanceOhm', element.resistanceOhm, element.conductors.length, complain);
      checkMatrix('reactanceOhm', element.reactanceOhm, element.conductors.length, complain);
      element.resistanceOhm.forEach((row, at) => {
        checkNotNegative('resistanceOhm', row[at] ?? 0, complain, element.conductors[at]?.name);
      });
      break;
    case 'impedance':
      checkPair(element.from, element.to, complain);
      checkNotNegative('resistanceOhm', element.resistanceOhm, complain);
      checkFinite('reactanceOhm', element.reactanceOhm, complain);
      checkRating('ratedA', element.ratedA, complain);
      break;
    case 'switch':
      checkPair(element.from, element.to, complain);
      checkRating('ratedA', element.ratedA, complain);
      break;
    case 'transformer':
      checkTransformer(element, complain);
      break;
    case 'admittance':
      if (element.ports.length === 0) complain('has no port.');
      checkNames('port', element.ports, complain);
      for (const port of element.ports) checkPair(port.plus, port.minus, complain);
      checkMatrix('conductanceS', element.conductanceS, element.ports.length, complain);
      checkMatrix('susceptanceS', element.susceptanceS, element.ports.length, complain);
      break;
    case 'load':
      checkPair(element.from, element.to, complain);
      if (element.demand.model === 'constantImpedance') {
        const { resistanceOhm, reactanceOhm } = element.demand;
        checkFinite('resistanceOhm', resistanceOhm, complain);
        checkFinite('reactanceOhm', reactanceOhm, complain);
        if (resistanceOhm === 0 && reactanceOhm === 0) complain('is 0 ohm, a short circuit: give its impedance.');
      } else {
        checkFinite('powerW', element.demand.powerW, complain);
        checkFinite('reactivePowerVar', element.demand.reactivePowerVar, complain);
        if (element.demand.model === 'constantCurrent') checkPositive('ratedV', element.demand.ratedV, complain);
      }
  }
}

function checkTransformer(element: TransformerElement, complain: Complain): void {
  if (element.windings.length < 2) complain(`has ${element.windings.length} winding: it needs two or more.`);
  checkNames('winding', element.windings, complain);
  for (const winding of element.windings) {
    checkPair(winding.plus, winding.minus, complain);
    checkPositive('ratedV', winding.ratedV, complain, winding.name);
    checkNotNegative('resistanceOhm', winding.resistanceOhm, complain, winding.name);
    checkFinite('reactanceOhm', winding.reactanceOhm, complain, winding.name);
    checkRating('ratedVa', winding.ratedVa, complain, winding.name);
  }
  const { core } = element;
  if (core === undefined) return;
  if (!element.windings.some((winding) => winding.name === core.winding)) {
    complain(`its core names winding "${core.winding}", which it has not.`);
  }
  checkNotNegative('conductanceS', core.conductanceS, complain, 'core');
  checkFinite('susceptanceS', core.susceptanceS, complain, 'core');
}

function checkTerminal(terminal: string, complain: Complain): void {
  if (terminal === '') complain('has a terminal without a name.', terminal);
}

function checkPair(from: string, to: string, complain: Complain): void {
  checkTerminal(from, complain);
  checkTerminal(to, complain);
  if (from === to) {
    const place = from === groundTerminal ? 'ground' : `terminal "${from}"`;
    complain(`has both ends on ${place}: join it between two terminals.`, from);
  }
}

function checkNames(what: string, parts: readonly { readonly name: string }[], complain: Complain): void {
  parts.forEach(({ name }, at) => {
    for (let before = 0; before < at; before++) {
      if (parts[before]?.name === name) complain(`has two of ${what} "${name}": name each apart.`);
    }
  });
}

function checkMatrix(name: string, matrix: readonly (readonly number[])[], size: number, complain: Complain): void {
  if (matrix.length !== size || matrix.some((row) => row.length !== size)) {
    complain(`${name} is not ${size} x ${size}.`);
  } else if (!matrix.every((row) => row.every(isUsable))) {
    complain(`${name} has an entry that is not a number of reasonable size.`);
  }
}

/** Larger figures are no quantity of a power network and would overflow in a product. */
const largest = 1e15;

function isUsable(value: number): boolean {
  return Number.isFinite(value) && Math.abs(value) <= largest;
}

function checkFinite(name: string, value: number, complain: Complain, part?: string): void {
  if (!isUsable(value)) complain(`${named(name, part)} is ${value}: give a number of reasonable size.`);
}

function checkNotNegative(name: string, value: number, complain: Complain, part?: string): void {
  if (!(isUsable(value) && value >= 0)) complain(`${named(name, part)} is ${value}: give 0 or more.`);
}

function checkPositive(name: string, value: number, complain: Complain, part?: string): void {
  if (!(isUsable(value) && value > 0)) complain(`${named(name, part)} is ${value}: give more than 0.`);
}

function checkRating(name: string, value: number | undefined, complain: Complain, part?: string): void {
  if (value !== undefined) checkPositive(name, value, complain, part);
}

function named(name: string, part: string | undefined): string {
  return part === undefined ? name : `${name} of "${part}"`;
}
