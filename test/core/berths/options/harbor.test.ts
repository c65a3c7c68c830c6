import { describe, expect, it } from 'vitest';
import { berthOptions } from '../../../../core/berths/options/berth-options.ts';
import { judgeChoice } from '../../../../core/berths/options/judge-choice.ts';
import type { BerthOptions, OptionsQuestion } from '../../../../core/berths/options/options.ts';
import { prepare } from '../../../../core/berths/options/prepare.ts';
import type { Boat, NeutralBond } from '../../../../core/boats.ts';
import type { Berth, Inventory } from '../../../../core/inventory/inventory.ts';
import { sampleInventory, withPatched } from '../../../support/sample-inventory.ts';
import { boatOf, inletOf } from '../builders.ts';
import { arrival, departure, questionOf, told } from './random-question.ts';

/** The sample with the one thing known that leaves all of dock A unconfirmed. */
const marina = withPatched(sampleInventory(), 'equipment', 'xfmr-a', { lines: ['L1', 'L2'] });
const words = { options: 30, refused: 30 };
const holder = { kind: 'holding', id: 'h', label: 'Holder' } as const;

/** A boat of which a harbormaster knows everything but what `facts` change. */
function knownBoat(facts: Partial<Boat> = {}): Boat {
  return boatOf({
    lengthOverallM: told(11.5),
    beamM: told(3.4),
    frequenciesHz: told([60]),
    neutralBond: told<NeutralBond>('none'),
    ownSupplies: told([]),
    inlets: [inletOf({ duty: told('house'), needsLineToLine: told(false), mainBreakerA: told(30) })],
    cordSets: told([{ id: 'c', lengthM: 15.24, configurationId: 'L5-30', ratedA: 30 }]),
    adapterKindIds: told([]),
    ...facts,
  });
}

/** What one phone call yields. */
function calledBoat(plug: readonly string[]): Boat {
  const inlet = inletOf({ configurationIds: told(plug), fromBowM: null, side: null });
  return boatOf({ lengthOverallM: told(11.5), beamM: told(3.4), inlets: [inlet] });
}

function ask(boat: Boat, inventory: Inventory = marina, more: Partial<OptionsQuestion> = {}): BerthOptions {
  return berthOptions({ ...questionOf(inventory, boat), ...more }, words);
}

function berthOf(answer: BerthOptions, id: string) {
  const option = [...answer.options, ...answer.refused].find(({ berthId }) => berthId === id);
  if (option === undefined) throw new Error(`no berth ${id}`);
  return option;
}

function refusals(answer: BerthOptions, id: string): string[] {
  return berthOf(answer, id).findings.flatMap(({ level, rule }) => (level === 'refuse' ? [rule] : []));
}

function held(unitId: string) {
  return { unitId, fromM: 0, untilM: 1, from: arrival, until: departure, by: holder };
}

function plugged(outletId: string) {
  return { outletId, from: arrival, until: departure, by: holder, statedVa: null };
}

describe('a harbormaster', () => {
  it('gets a single slip before two slips together, even where the single one needs the dock to lend an adapter', () => {
    const reach = { alongM: 0.5, acrossM: 1, detourM: 0 };
    const only = (id: string, outletId: string, given: Partial<Berth>): Partial<Berth> => {
      return { id, beamM: 4.8, reaches: [{ outletId, ...reach }], ...given };
    };
    const sample = marina;
    const slip = { ...sample.berths.find(({ id }) => id === 'A5'), ...only('A5', 'a2b', {}) } as Berth;
    const pair = {
      ...sample.berths.find(({ id }) => id === 'A5-A6'),
      ...only('A5-A6', 'a3b', { lengthM: 12 }),
    } as Berth;
    const { all } = ask(knownBoat(), { ...sample, berths: [pair, slip] });
    expect(all.map(({ berthId, verdict }) => `${berthId} ${verdict}`)).toEqual(['A5 clear', 'A5-A6 clear']);
  });

  it('finds room for a boat that wants no power, every outlet taken or none in reach', () => {
    const sample = marina;
    const outletUses = sample.outlets.map(({ id }) => plugged(id));
    const answer = ask(knownBoat({ wantsPower: told(false) }), sample, { outletUses });
    expect(berthOf(answer, 'A3')).toMatchObject({ verdict: 'clear', outletIds: [], tightest: null });
    expect(berthOf(answer, 'BR').verdict).toBe('clear');
    expect(refusals(ask(knownBoat(), sample, { outletUses }), 'A3')).toEqual(['outlet.taken']);
    expect(refusals(ask(knownBoat(), sample, { outletUses }), 'BR')).toEqual(['outlet.none']);
  });

  // NEC 555.33: shore power is 30 A at least.
  it('is never offered a 15 or 20 A outlet', () => {
    const reaches = [{ outletId: 'a2c', alongM: 0.5, acrossM: 1, detourM: 0 }];
    const inventory = withPatched(marina, 'berths', 'A3', { reaches });
    const small = inletOf({ configurationIds: told(['5-20']), duty: told('house'), needsLineToLine: told(false) });
    expect(refusals(ask(knownBoat({ inlets: [small] }), inventory), 'A3')).toEqual(['outlet.none']);
  });

  it('hears every rule that refuses a berth, of room, depth and power at once', () => {
    const giant = knownBoat({ lengthOverallM: told(18), beamM: told(6), draftM: told(3) });
    const answer = ask(giant, marina, { outletUses: ['a1a', 'a1b'].map(plugged) });
    expect(refusals(answer, 'A1').sort()).toEqual(['fit.beam', 'fit.depth', 'fit.length', 'outlet.taken']);
  });

  it('is asked for the length where nobody told it: of slips a question, of a face what it cannot do without', () => {
    const answer = ask(knownBoat({ lengthOverallM: null }));
    expect(berthOf(answer, 'A3').verdict).toBe('unconfirmed');
    expect(answer.question?.missingFact.fact).toBe('lengthOverallM');
    expect(refusals(answer, 'BF-1')).toEqual(['space.lengthUnknown']);
    const faces = marina.berths.filter(({ faceFromM }) => faceFromM !== null);
    const onFaces = ask(knownBoat({ lengthOverallM: null }), { ...marina, berths: faces });
    expect(onFaces.options).toEqual([]);
    expect(onFaces.question?.missingFact.fact).toBe('lengthOverallM');
  });

  it('is told to ask which 50 A plug it is before what frequency the boat is built for', () => {
    const { question, options } = ask(calledBoat(['SS1-50', 'SS2-50']));
    expect(options[0]?.verdict).toBe('unconfirmed');
    const facts = options[0]?.findings.flatMap(({ missingFact }) => missingFact?.fact ?? []);
    expect(facts).toContain('frequenciesHz');
    expect(question?.missingFact.fact).toBe('inlets.0.configurationIds');
    expect(question?.missingFact.question).toMatch(/125 V.*125\/250 V/);
    expect(ask(boatOf({ inlets: [] })).question?.missingFact.fact).toBe('inlets');
  });

  it('is asked for a joint of neutral and ground aboard only where the best berth hangs on nothing else', () => {
    // Common practice: few can tell it on the phone; the dock measures it at check-in.
    expect(ask(knownBoat({ neutralBond: null })).question?.missingFact.fact).toBe('neutralBond');
    expect(ask(knownBoat({ neutralBond: null, ownSupplies: null })).question?.missingFact.fact).toBe('ownSupplies');
    const nothingTold = knownBoat({ neutralBond: null, ownSupplies: null, frequenciesHz: null });
    expect(ask(nothingTold).question?.missingFact.fact).toBe('frequenciesHz');
    const noCords = knownBoat({ neutralBond: null, ownSupplies: null, cordSets: null });
    expect(ask(noCords).question?.missingFact.fact).toBe('cordSets');
  });

  it('sees what is open at a berth itself ranked behind what the boat must answer anywhere', () => {
    const unmeasured = withPatched(marina, 'outlets', 'a2a', { lines: null });
    const order = (facts: Partial<Boat>) => {
      const { all } = ask(knownBoat(facts), unmeasured);
      return all.filter(({ verdict }) => verdict !== 'refused').map(({ berthId }) => berthId);
    };
    expect(order({ neutralBond: null, ownSupplies: null })).toEqual(order({}));
  });

  it('is led away from a feeder whose leakage budget the boats on it have used, read by read', () => {
    const scoreOf = (uses: OptionsQuestion['outletUses']) => {
      const { score } = berthOf(ask(knownBoat(), marina, { outletUses: uses }), 'A3');
      return score.find(({ name }) => name.startsWith('leakage budget left'))?.value;
    };
    // feeder-a1 is set to 100 mA, each outlet to 30 mA: the tighter of what is left of both.
    expect(scoreOf([])).toBe(30);
    expect(scoreOf([{ ...plugged('a1a'), leakageMa: 65 }])).toBe(30);
    expect(scoreOf([{ ...plugged('a1a'), leakageMa: 85 }])).toBe(10);
    expect(scoreOf([{ ...plugged('a1a'), leakageMa: 110 }])).toBe(-10);
    // Nobody has read it: it counts as one of 20 mA.
    expect(scoreOf([plugged('a1a')])).toBe(30);
  });

  it('is asked nothing where the best berth hangs on nothing', () => {
    const { options, question } = ask(knownBoat());
    expect(options[0]?.verdict).toBe('clear');
    expect(question).toBeNull();
  });

  it('is asked the same question however few berths the answer shows', () => {
    const asked = questionOf(marina, calledBoat(['SS1-50', 'SS2-50']));
    const short = berthOptions(asked, { options: 1, refused: 0 });
    const long = berthOptions(asked, words);
    expect(short.question).toEqual(long.question);
    expect(short.nearMisses).toEqual(long.nearMisses);
    expect(short.options).toHaveLength(1);
    expect(short.all).toEqual(long.all);
  });

  it('keeps the largest outlet of a berth, at its full rating, for a boat whose plug nobody knows', () => {
    const answer = ask(knownBoat({ inlets: [], statedLoadVa: told(500) }));
    expect(berthOf(answer, 'A3')).toMatchObject({ verdict: 'unconfirmed', outletIds: ['a2b'], hookUp: null });
    const full = withPatched(marina, 'equipment', 'feeder-a1', { breakerA: 40 });
    expect(refusals(ask(knownBoat({ inlets: [], statedLoadVa: told(500) }), full), 'A3')).toContain('demand.breaker');
  });

  it('puts a boat on a face where its inlet meets an outlet, where the ends of the gap are out of its cord', () => {
    const reaches = [{ outletId: 'b1b', alongM: 10, acrossM: 0.6, detourM: 0 }];
    const inventory = withPatched(marina, 'berths', 'BF-1', { reaches });
    const boat = knownBoat({
      lengthOverallM: told(9),
      inlets: [
        inletOf({
          configurationIds: told(['SS2-50']),
          fromBowM: told(0.5),
          duty: told('house'),
          needsLineToLine: told(false),
          mainBreakerA: told(50),
        }),
      ],
      cordSets: told([{ id: 'c', lengthM: 7.62, configurationId: 'SS2-50', ratedA: 50 }]),
    });
    const option = berthOf(ask(boat, inventory), 'BF-1');
    expect(option.verdict).not.toBe('refused');
    const inletM = (option.place?.fromM ?? 0) + (option.orientation === 'bowIn' ? 8.5 : 0.5);
    expect(Math.abs(inletM - 10)).toBeLessThanOrEqual(7.62);
  });

  it('lies a boat at the end of a gap, so that the rest of the face stays in one piece', () => {
    const option = berthOf(ask(knownBoat({ wantsPower: told(false) })), 'BF-1');
    expect([0, 20 - 11.5]).toContain(option.place?.fromM);
  });

  it('is told what would mend a near miss, free space before what somebody else would have to give up', () => {
    const reach = { outletId: 'a2a', alongM: 0.5, acrossM: 12, detourM: 9 };
    const inventory = withPatched(marina, 'berths', 'A3', { reaches: [reach] });
    const short = knownBoat({ cordSets: told([{ id: 'c', lengthM: 3.66, configurationId: 'L5-30', ratedA: 30 }]) });
    const few = inventory.berths.filter(({ id }) => ['A1', 'A2', 'A3', 'B2'].includes(id));
    const { nearMisses } = ask(
      short,
      { ...inventory, berths: few },
      {
        spaceUses: ['A1', 'A2', 'A5'].map(held),
        outletUses: [plugged('b1a'), plugged('b1b')],
      },
    );
    const mends = new Map(nearMisses.map(({ berthId, mends: each }) => [berthId, each.join('; ')]));
    expect(mends.get('A3')).toMatch(/^a cord of [\d.]+ m/);
    expect(mends.get('B2')).toBe('outlet B1-A or B1-B free for the stay');
    expect(mends.get('A2')).toBe('Holder releases these days');
    const order = nearMisses.map(({ berthId }) => berthId);
    expect(order.indexOf('A3')).toBeLessThan(order.indexOf('A2'));
  });

  it('is told when a berth is free that another boat has for part of the stay', () => {
    const boat = { kind: 'assignment', id: 'a', label: 'Osprey' } as const;
    const day = 86_400_000;
    const hour = 3_600_000;
    const has = (unitId: string, from: number, until: number) => ({
      unitId,
      fromM: 0,
      untilM: 1,
      from,
      until,
      by: boat,
    });
    const given = {
      spaceUses: [
        has('A2', arrival - day, arrival + day),
        has('A3', departure - day, departure + day),
        has('A4', arrival - day, departure + day),
      ],
      sayTime: (at: number) => `hour ${(at - arrival) / hour}`,
    };
    const answer = ask(knownBoat(), marina, given);
    const mend = (id: string) => berthOf(answer, id).findings.find(({ rule }) => rule === 'space.taken')?.mend;
    expect(mend('A2')).toBe('arrival from hour 24 on');
    // It must be gone, and the turnover hour over, when the other comes.
    expect(mend('A3')).toBe(`departure by hour ${(departure - arrival) / hour - 25}`);
    expect(mend('A4')).toBeUndefined();
    const { from, until } = { from: arrival + day, until: departure };
    const later = ask(knownBoat(), marina, { ...given, period: { from, until }, spaceUses: [] });
    expect(refusals(later, 'A2')).toEqual([]);
    expect(answer.nearMisses.find(({ berthId }) => berthId === 'A4')).toBeUndefined();
    expect(answer.counts.options + answer.counts.refused).toBe(answer.all.length);
  });

  it('is told what load would still go on a feeder that refuses the boat, or how much of others is too much', () => {
    const refusalAt = (breakerA: number, more: Partial<OptionsQuestion> = {}) => {
      const inventory = withPatched(marina, 'equipment', 'feeder-a1', { breakerA, label: 'Feeder A1' });
      const { findings } = berthOf(ask(knownBoat(), inventory, more), 'A2');
      return findings.find(({ rule, level }) => rule === 'demand.breaker' && level === 'refuse');
    };
    // One outlet of 30 A at 100 %: 30 of 20 A. With its 50 A neighbour on both lines: 80 x 100 % of 40 A, 50 without it.
    expect(refusalAt(20)?.mend).toBe(
      'outlets of at most 20 A in all on "Feeder A1", or 10 A less in use on "Feeder A1"',
    );
    expect(refusalAt(40, { outletUses: [plugged('a1c')] })).toMatchObject({ actual: 80 });
    expect(refusalAt(40, { outletUses: [plugged('a1c')] })?.mend).toBe('40 A less in use on "Feeder A1"');
  });

  it('is told which adapter to bring, refused while it is known to be missing, asked while nobody knows', () => {
    const reaches = [{ outletId: 'a2b', alongM: 0.5, acrossM: 1, detourM: 0 }];
    const inventory = { ...withPatched(marina, 'berths', 'A3', { reaches }), adapterStock: [] };
    const missing = ask(knownBoat(), inventory);
    expect(refusals(missing, 'A3')).toEqual(['hookup.adapterMissing']);
    expect(missing.nearMisses.find(({ berthId }) => berthId === 'A3')?.mends[0]).toMatch(/^an adapter: /);
    const unknown = berthOf(ask(knownBoat({ adapterKindIds: null }), inventory), 'A3');
    expect(unknown.verdict).toBe('unconfirmed');
    expect(unknown.findings.flatMap(({ missingFact }) => missingFact?.fact ?? [])).toContain('adapterKindIds');
  });

  it('offers one inlet without power, as a question, before it turns a boat away', () => {
    const two = ['I1', 'I2'].map((id) =>
      inletOf({ id, duty: told('house'), needsLineToLine: told(false), mainBreakerA: told(30) }),
    );
    // Both of 30 A on one line: 60 A, and the feeder carries 45.
    const inventory = withPatched(withPatched(marina, 'outlets', 'a1b', { lines: ['L1'] }), 'equipment', 'feeder-a1', {
      breakerA: 45,
    });
    const option = berthOf(
      ask(knownBoat({ inlets: two, lengthOverallM: told(9.5), draftM: told(1.2) }), inventory),
      'A1',
    );
    expect(option.verdict).toBe('unconfirmed');
    expect(option.outletIds).toHaveLength(1);
    expect(option.findings.map(({ rule }) => rule)).toContain('hookup.inletUnfed');
  });
});

describe('a choice', () => {
  it('is judged as chosen: turned, placed and powered, refused or not', () => {
    const prepared = prepare({
      ...questionOf(marina, knownBoat()),
      spaceUses: [{ ...held('BF'), fromM: 0, untilM: 6 }],
      outletUses: [plugged('a2a')],
    });
    const choose = (id: string, choice: Partial<Parameters<typeof judgeChoice>[2]>) => {
      const berth = prepared.question.index.berths.get(id);
      if (berth === undefined) throw new Error(`no berth ${id}`);
      return judgeChoice(prepared, berth, { orientation: null, place: null, hookUp: null, ...choice }).describe();
    };
    expect(choose('A3', { orientation: 'sternIn' }).orientation).toBe('sternIn');
    const onto = choose('BF-1', { place: { fromM: 3, untilM: 14.5 } });
    expect(onto.findings.map(({ rule }) => rule)).toContain('space.held');
    expect(onto.place).toEqual({ fromM: 3, untilM: 14.5 });
    const beyond = choose('BF-1', { place: { fromM: 12, untilM: 24 } });
    expect(beyond.findings.map(({ rule }) => rule)).toContain('space.outsideFace');
    // 11.5 m of boat in 9 m: the next boat would be given metres that this one fills.
    const short = choose('BF-1', { place: { fromM: 7, untilM: 16 } });
    expect(short.findings).toContainEqual(
      expect.objectContaining({ rule: 'space.placeTooShort', level: 'refuse', actual: 11.5, limit: 9 }),
    );
    const joint = {
      from: { kind: 'outlet', outletId: 'a2a' },
      to: { kind: 'inlet', inletId: 'I1', configurationId: 'L5-30' },
    } as const;
    const taken = choose('A3', { hookUp: { adapters: [], joints: [joint] } });
    expect(taken.verdict).toBe('refused');
    expect(taken.outletIds).toEqual(['a2a']);
    expect(taken.findings.filter(({ level }) => level === 'refuse').map(({ rule }) => rule)).toEqual(['outlet.taken']);
  });

  it('left open is what the ranking finds', () => {
    const prepared = prepare(questionOf(marina, knownBoat()));
    const { options, refused } = ask(knownBoat());
    for (const option of [...options, ...refused]) {
      const berth = prepared.question.index.berths.get(option.berthId);
      if (berth === undefined) throw new Error('no berth');
      expect(judgeChoice(prepared, berth, { orientation: null, place: null, hookUp: null }).describe()).toEqual(option);
    }
  });

  it('takes no metres of a face for a boat of which nobody has said how long it is', () => {
    const prepared = prepare(questionOf(marina, knownBoat({ lengthOverallM: null })));
    const berth = prepared.question.index.berths.get('BF-1');
    if (berth === undefined) throw new Error('no berth BF-1');
    const option = judgeChoice(prepared, berth, { orientation: null, place: { fromM: 3, untilM: 14 }, hookUp: null });
    expect(option.describe().findings.map(({ rule }) => rule)).toContain('space.lengthUnknown');
    expect(option.verdict).toBe('refused');
  });
});
