import { type Finding, gravestFirst } from '../../findings.ts';
import {
  type BoatLoad,
  type BoatLoadInput,
  type InletLoad,
  type Leg,
  type LoadAppliance,
  type LoadInlet,
  legsOf,
  placeOn,
  voltsOver,
} from './boat-load.ts';
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
  const legs = legsOf(inlet);
  const carriesGeneral = input.general !== null && isOn(input.general.inletId, inlet);
  const evenV = voltsOver(legs.length, inlet);
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
  const place = placeOn(appliance, inlet);
  if (place !== null && !place.includes(leg)) return [];
  // Amperes of legs at an angle are summed by magnitude: never less than their phasors.
  return [{ ...appliance, value: known(appliance.loadVa) / voltsOver(place?.length ?? 1, inlet) }];
}

const isOn = (inletId: string | null, inlet: LoadInlet): boolean => inletId === null || inletId === inlet.id;

const always = (value: number): Item => ({ value, motor: false, continuous: false, fixed: false, use: 'always' });

/** A quantity that counts; unknown or impossible ones are named in a finding and left out. */
const known = (value: number | null): number => (isQuantity(value) ? value : 0);

const isUsable = ({ lineToNeutralV, lineToLineV }: LoadInlet): boolean =>
  isQuantity(lineToNeutralV) &&
  lineToNeutralV > 0 &&
  (lineToLineV === null || (isQuantity(lineToLineV) && lineToLineV > 0));
