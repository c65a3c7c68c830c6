import type { Boat, NeutralBond } from '../../core/boats.ts';
import type { MaybeFact } from '../../core/facts.ts';
import { seededChance } from '../../core/upgrades/random.ts';
import type { ReplayRequest } from '../../core/upgrades/replay/request.ts';

const dayMs = 86_400_000;
/** A Wednesday in June. */
export const seasonFrom = Date.UTC(2030, 5, 5, 19);

function told<T>(value: T): MaybeFact<T> {
  return { value, origin: 'boater', at: 0 };
}

/** An invented boat with one inlet and a cord for it. */
export function replayBoat(id: string, lengthM: number, configurationId: string): Boat {
  const ratedA = configurationId === 'L5-30' ? 30 : 50;
  return {
    id,
    name: id,
    lengthOverallM: told(lengthM),
    beamM: told(lengthM / 3.5),
    hull: told('monohull'),
    draftM: told(1.2),
    wantsPower: told(true),
    airConditioning: told(true),
    frequenciesHz: told([60]),
    neutralBond: told<NeutralBond>('none'),
    ownSupplies: told([]),
    inlets: [
      {
        id: 'I1',
        configurationIds: told([configurationId]),
        mainBreakerA: told(ratedA),
        fromBowM: told(lengthM * 0.7),
        side: told('port'),
        duty: told('house'),
        needsLineToLine: told(false),
      },
    ],
    cordSets: told([{ id: 'C1', lengthM: 15.24, configurationId, ratedA }]),
    adapterKindIds: told([]),
    appliances: null,
    statedLoadVa: null,
  };
}

/** So many invented calls over so many days. */
export function replayRequests(count: number, days: number, seed: number): ReplayRequest[] {
  const chance = seededChance(seed);
  return Array.from({ length: count }, (_, i) => {
    const day = Math.floor(chance() * days);
    const stay = 1 + Math.floor(chance() * 5);
    const id = `r${String(i).padStart(5, '0')}`;
    const from = seasonFrom + day * dayMs;
    const local = (at: number) => new Date(at).toISOString().slice(0, 10);
    return {
      id,
      boat: replayBoat(id, 8 + Math.floor(chance() * 7), chance() < 0.5 ? 'L5-30' : 'SS2-50'),
      bookedAt: from - Math.floor(chance() * 60) * dayMs,
      period: { from, until: from + stay * dayMs - 4 * 3_600_000 },
      localDays: { from: local(from), until: local(from + (stay + 1) * dayMs) },
      nights: Array.from({ length: stay }, (__, night) => local(from + night * dayMs)),
      wishes: { dockId: null, berthId: null, orientation: null, mooring: null },
      energyKwh: 30 * stay,
    };
  });
}
