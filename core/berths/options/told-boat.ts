import type { Boat, Inlet } from '../../boats.ts';
import type { MaybeFact } from '../../facts.ts';

/** The boat with only what a person told: an assumption ranks berths, but it confirms no hook-up. */
export function toldBoat(boat: Boat): Boat {
  return {
    ...boat,
    lengthOverallM: told(boat.lengthOverallM),
    beamM: told(boat.beamM),
    hull: told(boat.hull),
    draftM: told(boat.draftM),
    wantsPower: told(boat.wantsPower),
    airConditioning: told(boat.airConditioning),
    frequenciesHz: told(boat.frequenciesHz),
    inlets: boat.inlets.map(toldInlet),
    cordSets: told(boat.cordSets),
    adapterKindIds: told(boat.adapterKindIds),
    appliances: told(boat.appliances),
    statedLoadVa: told(boat.statedLoadVa),
    neutralBond: told(boat.neutralBond ?? null),
    ownSupplies: told(boat.ownSupplies ?? null),
  };
}

function toldInlet(inlet: Inlet): Inlet {
  return {
    id: inlet.id,
    configurationIds: told(inlet.configurationIds),
    mainBreakerA: told(inlet.mainBreakerA),
    fromBowM: told(inlet.fromBowM),
    side: told(inlet.side),
    duty: told(inlet.duty),
    needsLineToLine: told(inlet.needsLineToLine),
    transformer: told(inlet.transformer ?? null),
    accepts: told(inlet.accepts ?? null),
  };
}

function told<T>(fact: MaybeFact<T>): MaybeFact<T> {
  return fact === null || fact.origin === 'default' ? null : fact;
}
