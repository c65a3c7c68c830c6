import { performance } from 'node:perf_hooks';
import { berthOptions } from '../../core/berths/options/berth-options.ts';
import { noWishes, type OptionsQuestion } from '../../core/berths/options/options.ts';
import type { Boat, CordSet, Inlet } from '../../core/boats.ts';
import type { Fact } from '../../core/facts.ts';
import { indexInventory } from '../../core/inventory/index-inventory.ts';
import { demandPractice } from '../../core/standards/demand-practices.ts';
import { heldShare, largeMarina } from '../support/large-marina.ts';

export interface OptionsCoreFigures {
  readonly name: string;
  readonly berths: number;
  readonly outlets: number;
  readonly leastMs: number;
  readonly medianMs: number;
  readonly percentile95Ms: number;
}

const hour = 3_600_000;
const week = { from: Date.UTC(2030, 5, 3, 19), until: Date.UTC(2030, 5, 10, 15) };

/** Berth options for one stay of a week, in core alone, all boats in turn: most berths held, and all of them free. */
export async function run(times = 15): Promise<OptionsCoreFigures[]> {
  return [100, 300, 1_000, 3_000].flatMap((berths) => [
    measure(`berth options in core, ${berths} berths, 85 % held`, berths, 0.85, times),
    measure(`berth options in core, ${berths} berths, all free`, berths, 0, times),
  ]);
}

function measure(name: string, berths: number, share: number, times: number): OptionsCoreFigures {
  const questions = questionsFor(berths, share);
  const taken: number[] = [];
  for (let turn = -Math.ceil(times / 3); turn < times; turn++) {
    for (const question of questions) {
      const start = performance.now();
      const { all } = berthOptions(question, { options: 20, refused: 20 });
      if (turn >= 0) taken.push(performance.now() - start);
      if (all.length !== berths) throw new Error(`${name}: ${all.length} berths judged`);
    }
  }
  taken.sort((a, b) => a - b);
  const at = (part: number) => taken[Math.min(taken.length - 1, Math.floor(taken.length * part))] ?? 0;
  const outlets = questions[0]?.index.inventory.outlets.length ?? 0;
  return { name, berths, outlets, leastMs: at(0), medianMs: at(0.5), percentile95Ms: at(0.95) };
}

/** One question for each boat that calls. */
export function questionsFor(berths: number, share: number): OptionsQuestion[] {
  const inventory = largeMarina(berths);
  const index = indexInventory(inventory);
  const practice = demandPractice(inventory.settings.practiceId);
  if (practice === null || practice === undefined) throw new Error('no practice');
  const occupiedUntil = week.until + hour;
  const { spaceUses, outletUses } = heldShare(inventory, { from: week.from, until: occupiedUntil }, share);
  return callers.map((boat) => ({
    index,
    practice,
    boat,
    period: week,
    occupiedUntil,
    localDays: { from: '2030-06-03', until: '2030-06-11' },
    wishes: noWishes,
    spaceUses,
    outletUses,
    stockUses: [],
  }));
}

const callers: readonly Boat[] = [
  boat('30 A, known', 10, { inlets: [inlet('I1', ['L5-30'], true)], cordSets: told([cord('L5-30', 30)]) }),
  boat('30 A, as said on the phone', 11, { inlets: [inlet('I1', ['L5-30'], false)] }),
  boat('50 A, ambiguous', 13, { inlets: [inlet('I1', ['SS1-50', 'SS2-50'], false)] }),
  boat('50 A, known', 14, { inlets: [inlet('I1', ['SS2-50'], true)], cordSets: told([cord('SS2-50', 50)]) }),
  boat('two of 30 A', 13, { inlets: [inlet('I1', ['L5-30'], false), inlet('I2', ['L5-30'], false)] }),
  boat('two of 50 A, with adapters', 18, {
    inlets: [inlet('I1', ['SS2-50'], true), inlet('I2', ['SS2-50'], true)],
    cordSets: told([cord('SS2-50', 50), cord('SS2-50', 50)]),
    adapterKindIds: told(['combiner-2xL5-30-to-SS2-50-interlock', 'splitter-SS2-50-to-2xL5-30-breakers']),
  }),
  boat('plug unknown', 12, {}),
  boat('no power wanted', 9, { wantsPower: told(false) }),
];

function told<T>(value: T): Fact<T> {
  return { value, origin: 'phone', at: 0 };
}

function boat(name: string, lengthM: number, given: Partial<Boat>): Boat {
  return {
    id: name,
    name,
    lengthOverallM: told(lengthM),
    beamM: told(lengthM * 0.3),
    hull: told('monohull'),
    draftM: told(1.6),
    wantsPower: told(true),
    airConditioning: null,
    frequenciesHz: null,
    inlets: [],
    cordSets: null,
    adapterKindIds: null,
    appliances: null,
    statedLoadVa: null,
    ...given,
  };
}

function inlet(id: string, configurationIds: readonly string[], known: boolean): Inlet {
  return {
    id,
    configurationIds: told(configurationIds),
    mainBreakerA: null,
    fromBowM: known ? told(8) : null,
    side: known ? told('starboard') : null,
    duty: known ? told('house') : null,
    needsLineToLine: known ? told(false) : null,
  };
}

function cord(configurationId: string, ratedA: number): CordSet {
  return { id: `cord ${configurationId}`, lengthM: 15.24, configurationId, ratedA };
}
