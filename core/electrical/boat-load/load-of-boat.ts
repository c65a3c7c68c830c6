import { toldValue } from '../../berths/told-value.ts';
import { type Boat, type Inlet, transformerOf } from '../../boats.ts';
import { configuration } from '../../standards/configurations.ts';
import type { BoatLoadInput, LoadAppliance, LoadInlet, Season } from './boat-load.ts';
import { calculateBoatLoad } from './calculate-boat-load.ts';
import { classDefaultAppliances } from './class-defaults.ts';
import { defaultLoadMethod } from './load-method.ts';

/**
 * A stored boat as the load form takes it: power inlets of one known plug, behind a transformer at its secondary's volts.
 * Appliances that nobody has told are assumed from its length, and the answer says so.
 */
export function boatLoadInput(boat: Boat, season: Season): BoatLoadInput {
  const told = toldValue(boat.appliances);
  const assumed = classDefaultAppliances(toldValue(boat.lengthOverallM), toldValue(boat.airConditioning));
  return {
    method: defaultLoadMethod,
    season,
    boat: { kind: 'boat', id: boat.id, label: boat.name },
    inlets: boat.inlets.flatMap(loadInlet),
    general: null,
    appliances: told === null ? assumed : told.map(loadAppliance),
    assumed: told === null,
  };
}

/**
 * What a boat says it draws in all, VA: as told, or by the form from the appliances told. Null where neither is known: a
 * class default is an assumption and no statement.
 */
export function statedVaOf(boat: Boat): number | null {
  const told = toldValue(boat.statedLoadVa);
  if (told !== null) return told;
  const appliances = toldValue(boat.appliances);
  // An empty list is no load of 0: nobody has entered anything yet.
  if (appliances === null || appliances.length === 0) return null;
  return calculateBoatLoad(boatLoadInput(boat, 'either')).demandVa;
}

function loadAppliance({ fixed = false, use = 'always', ...appliance }: LoadedAppliance): LoadAppliance {
  return { ...appliance, fixed, use };
}

type LoadedAppliance = NonNullable<Boat['appliances']>['value'][number];

function loadInlet(inlet: Inlet): LoadInlet[] {
  if (toldValue(inlet.duty) === 'notPower') return [];
  const [only, ...others] = toldValue(inlet.configurationIds) ?? [];
  const pattern = only === undefined || others.length > 0 ? null : configuration(only);
  const mainBreakerA = toldValue(inlet.mainBreakerA);
  const base = { id: inlet.id, mainBreakerA };
  const transformer = transformerOf(inlet);
  if (transformer !== null) {
    const { secondaryV, legs } = transformer;
    return legs === 2
      ? [{ ...base, lineToNeutralV: secondaryV / 2, lineToLineV: secondaryV }]
      : [{ ...base, lineToNeutralV: secondaryV, lineToLineV: null }];
  }
  const lineToLineV = pattern?.lineToLineV ?? null;
  const lineToNeutralV = pattern?.lineToNeutralV ?? null;
  // Without a neutral every load hangs between the two lines. Volts of 0 are unknown ones, which the form names.
  if (lineToNeutralV === null) return [{ ...base, lineToNeutralV: lineToLineV ?? 0, lineToLineV: null }];
  return [{ ...base, lineToNeutralV, lineToLineV, threePhase: pattern?.terminals.includes('L3') ?? false }];
}
