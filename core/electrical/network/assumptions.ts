import type { Conduit } from '../sizing/voltage-drop.ts';

/** What an inventory does not state and a solve must take for granted; each is shown with the answer. */
export interface FlowAssumptions {
  readonly conduit: Conduit;
  readonly conductorTemperatureC: number;
  /** Lagging, of loads that state none: that of the effective impedances of NEC Chapter 9 Table 9. */
  readonly powerFactor: number;
  /** Volts of every service as a share of its nominal volts; the service is held to be stiff. */
  readonly serviceVoltageShare: number;
}

export const usualAssumptions: FlowAssumptions = {
  conduit: 'pvc',
  conductorTemperatureC: 75,
  powerFactor: 0.85,
  serviceVoltageShare: 1,
};

/** The assumptions in words, for people. */
export function assumptionsInWords(assumed: FlowAssumptions): string[] {
  return [
    `Conductors lie in ${assumed.conduit} conduit and are at ${assumed.conductorTemperatureC} C.`,
    'A neutral is of the size of its lines, unless its ampacity is entered as less than theirs: then of the next thinner size.',
    `Loads without a stated power factor have ${assumed.powerFactor} lagging.`,
    `Every service is stiff, at ${Math.round(1000 * assumed.serviceVoltageShare) / 10} % of its nominal volts.`,
    'Transformers stand on their nominal taps. A high-leg bank is a closed delta of three equal units on a delta primary.',
    'A pedestal is at the end of the conductor that feeds it. Panelboards, switches and contacts drop no volts.',
  ];
}
