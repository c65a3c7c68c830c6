import { type Finding, gravestFirst } from '../../findings.ts';
import type { BoatLoad, BoatLoadInput, InletLoad, Leg, LoadAppliance, LoadInlet } from './boat-load.ts';
import { generalDemandVa, type Item, lightingVa, rangeDemandVa, sumsOf } from './form.ts';
import { applianceFindings, generalFindings, inletFindings, inputFindings, isQuantity } from './load-findings.ts';

/**
 * What a boat draws on each leg of each inlet, A, by a published form. Unknown loads are left out and named, so that the
 * figures are then at least what is drawn; unknown legs and inlets count wherever they could be. Never throws.
 */
export function calculateBoatLoad(input: BoatLoadInput): BoatLoad {
  const general = generalLoad(input);
  const gaps = [...inputFindings(input), ...generalFindings(input), ...applianceFindings(input)];
  const complete = !gaps.some(({ level }) => level === 'confirm');
  const inlets = input.inlets.filter(isUsable).map((inlet) => loadOfInlet(input, inlet, general, complete));
  const whole = sumsOf(
    input.method,
    [
      always(general.demandVa + general.rangeVa),
      ...input.appliances.map((appliance) => ({ ...appliance, value: known(appliance.loadVa) })),
    ],
    input.season,
  );
  const findings: Finding[] = [...gaps, ...inlets.flatMap((inlet) => inletFindings(input, inlet))];
  return {
    generalVa: general.countedVa,
    generalDemandVa: general.demandVa,
    rangeDemandVa: general.rangeVa,
    demandVa: whole.demand,
    inlets,
    findings: gravestFirst(findings),
  };
}

interface General {
  readonly countedVa: number;
  readonly demandVa: number;
  readonly rangeVa: number;
  readonly runningVa: number;
}

function generalLoad({ method, general }: BoatLoadInput): General {
  if (general === null) return { countedVa: 0, demandVa: 0, rangeVa: 0, runningVa: 0 };
  const countedVa =
    lightingVa(method, known(general.livingAreaM2)) +
    method.applianceCircuitVa * known(general.applianceCircuits) +
    known(general.laundryVa);
  const rangeW = known(general.rangeW);
  // A range beyond the form's rows is named in a finding and counts in full.
  const rangeVa = rangeDemandVa(method, rangeW) ?? rangeW;
  return { countedVa, demandVa: generalDemandVa(method, countedVa), rangeVa, runningVa: countedVa + rangeW };
}

function loadOfInlet(input: BoatLoadInput, inlet: LoadInlet, general: General, complete: boolean): InletLoad {
  const legs: readonly Leg[] = inlet.lineToLineV === null ? ['L1'] : ['L1', 'L2'];
  const carriesGeneral = input.general !== null && isOn(input.general.inletId, inlet);
  const evenV = inlet.lineToLineV ?? inlet.lineToNeutralV;
  const loads = legs.map((leg) => {
    const items = input.appliances.flatMap((appliance) => itemOn(appliance, inlet, leg));
    const sums = sumsOf(
      input.method,
      carriesGeneral ? [always((general.demandVa + general.rangeVa) / evenV), ...items] : items,
      input.season,
    );
    // By nameplate the lighting and the circuits count without the form's factor.
    const beyondForm = carriesGeneral ? (general.runningVa - general.demandVa - general.rangeVa) / evenV : 0;
    return { leg, runningA: sums.running + beyondForm, demandA: sums.demand, sizingA: sums.sizing };
  });
  const { mainBreakerA } = inlet;
  const mostA = Math.max(...loads.map(({ demandA }) => demandA));
  const isOver = isQuantity(mainBreakerA) && mostA > mainBreakerA * (1 + 1e-9);
  return {
    inletId: inlet.id,
    legs: loads,
    mainBreakerA,
    assessment: isOver && !input.assumed ? 'over' : complete && isQuantity(mainBreakerA) ? 'within' : 'notAssessed',
  };
}

function itemOn(appliance: LoadAppliance, inlet: LoadInlet, leg: Leg): Item[] {
  if (!isOn(appliance.inletId, inlet)) return [];
  const { legs } = appliance;
  const loadVa = known(appliance.loadVa);
  if (inlet.lineToLineV === null) return [{ ...appliance, value: loadVa / inlet.lineToNeutralV }];
  if (legs === 'L1-L2') return [{ ...appliance, value: loadVa / inlet.lineToLineV }];
  return legs === null || legs === leg ? [{ ...appliance, value: loadVa / inlet.lineToNeutralV }] : [];
}

const isOn = (inletId: string | null, inlet: LoadInlet): boolean => inletId === null || inletId === inlet.id;

const always = (value: number): Item => ({ value, motor: false, continuous: false, fixed: false, use: 'always' });

/** A quantity that counts; unknown or impossible ones are named in a finding and left out. */
const known = (value: number | null): number => (isQuantity(value) ? value : 0);

const isUsable = ({ lineToNeutralV, lineToLineV }: LoadInlet): boolean =>
  isQuantity(lineToNeutralV) &&
  lineToNeutralV > 0 &&
  (lineToLineV === null || (isQuantity(lineToLineV) && lineToLineV > 0));
