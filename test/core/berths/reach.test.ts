import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { cordForWayM, cordRule } from '../../../core/berths/cord-lengths.ts';
import { type CordWayQuestion, cordWayM } from '../../../core/berths/cord-way.ts';
import { levelOfOutcome, type ReachQuestion } from '../../../core/berths/measure-reach.ts';
import { judgeReach } from '../../../core/berths/reach.ts';
import { missingFactsOf, verdictOf } from '../../../core/findings.ts';
import berthing from '../../reference/berthing.json' with { type: 'json' };
import { assumed, berthOf, boatOf, cord, dockOf, firstMetres, inletOf, outlet, told } from './builders.ts';

const usualCordLengthsM = berthing.usualCordFt.value.map((feet) => feet * berthing.footM.value);
const settings = {
  overhangAllowedM: 0.5,
  cordSlackM: 1,
  tidalRangeM: 2,
  usualCordLengthsM,
  cordsInSeriesAllowed: 1 as 1 | 2,
};

describe('way of a cord', () => {
  //   dock  =====o=============   o outlet at along 0, across +3 (on the right, seen from the water)
  //             |  bow  |         boat 12 x 4, bow in: inlet 9 m out, starboard = right = +2
  //             |      i|         9 along + 1 across = 10
  //             | stern |         stern in: inlet 3 m out, starboard = left = -2: 3 + 5 = 8
  const slip: CordWayQuestion = {
    room: { kind: 'slip', lengthM: 13, beamM: 5 },
    orientation: 'bowIn',
    lengthM: 12,
    beamM: 4,
    fromBowM: 9,
    side: 'starboard',
    alongM: 0,
    acrossM: 3,
  };

  it.each([
    ['bow in, starboard', {}, 10, 10],
    ['bow in, port', { side: 'port' }, 14, 14],
    ['bow in, centre', { side: 'centre' }, 12, 12],
    ['stern in, starboard', { orientation: 'sternIn' }, 8, 8],
    ['stern in, port', { orientation: 'sternIn', side: 'port' }, 4, 4],
    ['outlet on the finger, 6 m out', { alongM: 6 }, 4, 4],
    ['side unknown: from 1 m (starboard edge) to 5 m (port edge) across', { side: null }, 10, 14],
    ['place on board unknown: 0 to 12 m along', { fromBowM: null }, 1, 13],
    ['nothing of the inlet known', { fromBowM: null, side: null }, 1, 17],
    ['length unknown, stern in: the slip bounds it to 13 - 9 = 4 m', { orientation: 'sternIn', lengthM: null }, 5, 9],
    ['beam unknown: starboard edge 0 to 2.5 m off', { beamM: null }, 9.5, 12],
    ['outlet somewhere along', { alongM: null }, 1, Number.POSITIVE_INFINITY],
  ] as const)('%s', (_name, change, leastM, mostM) => {
    const way = cordWayM({ ...slip, ...change });
    expect(way.leastM).toBeCloseTo(leastM, 9);
    expect(way.mostM).toBe(mostM);
  });

  //   edge  ----20=========32----    boat 12 m in metres 20 to 32, outlet at metre 30, 1 m back from the edge
  //                   o               bow at 32 (bow in): inlet at metre 32 - 9 = 23: 7 along
  //                                   stern in: bow at 20, inlet at metre 29: 1 along
  //   across: 1 m to the edge, then 0 (side to the dock) to 4 m (over the beam), 2 m for the centre line
  const face: CordWayQuestion = {
    ...slip,
    room: { kind: 'face', place: { fromM: 20, untilM: 32 }, beamM: null },
    alongM: 30,
    acrossM: 1,
  };
  it.each([
    ['bow to growing metres', {}, 8, 12],
    ['stern to growing metres', { orientation: 'sternIn' }, 2, 6],
    ['centre line', { orientation: 'sternIn', side: 'centre' }, 4, 4],
    [
      'place 2 m longer than the boat: inlet at metre 23 to 25',
      { room: { ...face.room, place: { fromM: 20, untilM: 34 } } },
      6,
      12,
    ],
    ['inlet anywhere: metre 20 to 32', { fromBowM: null, side: null }, 1, 15],
    ['length unknown: anywhere in the place', { lengthM: null }, 1, 15],
  ] as const)('on a face, %s', (_name, change, leastM, mostM) => {
    const way = cordWayM({ ...face, ...change } as CordWayQuestion);
    expect(way.leastM).toBeCloseTo(leastM, 9);
    expect(way.mostM).toBeCloseTo(mostM, 9);
  });
});

describe('cord for a way', () => {
  it('is the shortest usual length, or two in series where allowed', () => {
    const one = cordRule('NEMA WD 6', settings);
    const two = cordRule('NEMA WD 6', { ...settings, cordsInSeriesAllowed: 2 });
    expect(cordForWayM(7.62, one)).toBeCloseTo(7.62, 9); // 25 ft
    expect(cordForWayM(7.7, one)).toBeCloseTo(12.192, 9); // 40 ft
    expect(cordForWayM(15.3, one)).toBeNull(); // beyond 50 ft
    expect(cordForWayM(15.3, two)).toBeCloseTo(15.8496, 9); // 12 + 40 ft
  });

  it(`is one length of at most 25 m on the IEC side: ${berthing.iecLongestCordM.source}`, () => {
    const rule = cordRule('IEC 60309', { ...settings, usualCordLengthsM: [10, 20, 30], cordsInSeriesAllowed: 2 });
    expect(cordForWayM(19, rule)).toBe(20);
    expect(cordForWayM(24.321, rule)).toBe(24.33);
    expect(cordForWayM(berthing.iecLongestCordM.value, rule)).toBe(25);
    expect(cordForWayM(25.1, rule)).toBeNull();
  });
});

const onePiece = cordRule('NEMA WD 6', settings);
const iec = cordRule('IEC 60309', { ...settings, cordsInSeriesAllowed: 2 });
const inlet = inletOf();
/** Way 9 + 1 + slack 1 = 11 m. */
function ask(change: Partial<ReachQuestion> = {}): ReachQuestion {
  const berth = change.berth ?? berthOf();
  const reach = berth.reaches[0];
  if (reach === undefined) throw new Error('a berth with a reach is needed');
  const boat = boatOf({ inlets: [inlet], cordSets: told([cord(12.2)]) });
  return {
    boat,
    inlet,
    berth,
    reach,
    outlet,
    cords: onePiece,
    dock: dockOf('floating'),
    orientation: 'bowIn',
    place: null,
    settings,
    ...change,
  };
}
const spoken = (question: ReachQuestion) => judgeReach(question).findings.map(({ rule, level }) => `${level} ${rule}`);

describe('reach', () => {
  it('says nothing where a cord aboard reaches, and names the cord needed and the sets that do', () => {
    const verdict = judgeReach(ask());
    expect(verdict.findings).toEqual([]);
    expect(verdict.way).toEqual({ leastM: 11, mostM: 11 });
    expect(verdict.cordNeededM).toBeCloseTo(12.192, 9);
    expect(verdict.reachingCordSetIds).toEqual(['c12.2']);
  });

  it('adds the tidal range on a fixed dock only, and the detour', () => {
    expect(judgeReach(ask({ dock: dockOf('fixed') })).way.mostM).toBe(13);
    const berth = berthOf({ reaches: [{ outletId: 'o1', alongM: 0, acrossM: 3, detourM: 2.5 }] });
    expect(judgeReach(ask({ berth })).way.mostM).toBe(13.5);
  });

  it('refuses cords known too short, with the cord that mends it', () => {
    const [finding] = judgeReach(ask({ boat: boatOf({ inlets: [inlet], cordSets: told([cord(7.62)]) }) })).findings;
    expect(finding).toMatchObject({ rule: 'reach.cord', level: 'refuse', actual: 7.62, limit: 11 });
    expect(finding?.mend).toBe('a cord of 12.19 m');
    expect(spoken(ask({ boat: boatOf({ cordSets: told([]) }) }))).toEqual(['refuse reach.cord']);
  });

  it('takes two in series only where the practice allows it, with a caution', () => {
    const boat = boatOf({ inlets: [inlet], cordSets: told([cord(7.62), cord(4)]) });
    expect(spoken(ask({ boat }))).toEqual(['refuse reach.cord']);
    const twoAllowed = cordRule('NEMA WD 6', { ...settings, cordsInSeriesAllowed: 2 });
    expect(spoken(ask({ boat, cords: twoAllowed }))).toEqual(['caution reach.series']);
    expect(spoken(ask({ boat, cords: iec }))).toEqual(['refuse reach.cord']);
  });

  it('asks whether a cord is aboard where nobody said, stated or assumed', () => {
    for (const cordSets of [null, assumed([cord(15.24)])]) {
      const { findings } = judgeReach(ask({ boat: boatOf({ inlets: [inlet], cordSets }) }));
      expect(findings.map(({ level, missingFact }) => `${level} ${missingFact?.fact}`)).toEqual(['confirm cordSets']);
      expect(firstMetres(findings[0]?.missingFact?.question)).toBe(12.19);
    }
  });

  it('asks for the place of the inlet too where that decides which cord is needed', () => {
    // 2 to 18 m: a 12 ft cord at best, none of the usual ones at worst.
    const somewhere = inletOf({ fromBowM: null, side: null });
    const { findings } = judgeReach(ask({ inlet: somewhere, boat: boatOf({ inlets: [somewhere] }) }));
    // One cord, one finding: where the inlet is comes first, because no cord is known to reach from everywhere.
    expect(findings.map((finding) => missingFactsOf(finding).map(({ fact }) => fact))).toEqual([
      ['inlets.0.fromBowM', 'inlets.0.side', 'cordSets'],
    ]);
    const questions = findings.flatMap(missingFactsOf).map(({ question }) => question);
    expect(firstMetres(questions.at(-1))).toBe(3.66);
    for (const question of questions) expect(findings[0]?.message).toContain(question);
  });

  it('with the inlet somewhere aboard: reaches from everywhere, from nowhere, or asks where it is', () => {
    // Along 0 to 12, across 1 to 5, slack 1: 2 to 18 m.
    const somewhere = inletOf({ fromBowM: null, side: null });
    const withCord = (lengthM: number) =>
      ask({ inlet: somewhere, boat: boatOf({ inlets: [somewhere], cordSets: told([cord(lengthM)]) }) });
    expect(spoken(withCord(18))).toEqual([]);
    expect(spoken(withCord(1.9))).toEqual(['refuse reach.cord']);
    const { findings } = judgeReach(withCord(15));
    expect(findings.map((finding) => missingFactsOf(finding).map(({ fact }) => fact))).toEqual([
      ['inlets.0.fromBowM', 'inlets.0.side'],
    ]);
    expect(judgeReach({ ...withCord(15), inlet: null }).findings[0]?.missingFact?.fact).toBe('inlets');
  });

  it('bounds an unknown length by the slip and its overhang: 12.5 - 9 to the inlet, 5 across, 1 slack', () => {
    const boat = boatOf({ lengthOverallM: null, inlets: [inlet] });
    expect(judgeReach(ask({ boat, orientation: 'sternIn' })).way).toEqual({ leastM: 6, mostM: 9.5 });
  });

  it('asks for an unknown place of the outlet', () => {
    const berth = berthOf({ reaches: [{ outletId: 'o1', alongM: null, acrossM: 3, detourM: 0 }] });
    const { cordNeededM, findings } = judgeReach(ask({ berth }));
    expect(cordNeededM).toBeNull();
    expect(findings.map(({ level, missingFact }) => `${level} ${missingFact?.fact}`)).toEqual([
      'confirm reaches.0.alongM',
    ]);
  });

  it('refuses beyond any usual length with cords unknown, but not a longer cord that is aboard', () => {
    const berth = berthOf({ reaches: [{ outletId: 'o1', alongM: -8, acrossM: 3, detourM: 0 }] }); // 17 + 1 + 1 = 19 m
    expect(spoken(ask({ berth, boat: boatOf({ inlets: [inlet] }) }))).toEqual(['refuse reach.distance']);
    expect(spoken(ask({ berth, boat: boatOf({ inlets: [inlet], cordSets: told([cord(20)]) }) }))).toEqual([]);
  });

  it('refuses over 25 m on the IEC side whatever cord is aboard', () => {
    const berth = berthOf({ reaches: [{ outletId: 'o1', alongM: -16, acrossM: 3, detourM: 0 }] }); // 25 + 1 + 1 = 27 m
    const boat = boatOf({ inlets: [inlet], cordSets: told([cord(30)]) });
    const [finding] = judgeReach(ask({ berth, boat, cords: iec })).findings;
    expect(finding).toMatchObject({ rule: 'reach.distance', level: 'refuse', limit: berthing.iecLongestCordM.value });
    expect(firstMetres(finding?.mend)).toBe(2);
    expect(spoken(ask({ berth, boat }))).toEqual([]);
  });

  it('on a face asks which side lies to the dock where that decides, and wants a place', () => {
    const berth = berthOf({
      faceFromM: 0,
      faceUntilM: 60,
      mooring: 'alongside',
      reaches: [{ outletId: 'o1', alongM: 30, acrossM: 1, detourM: 0 }],
    });
    // Inlet at metre 23: 7 + 1 + slack 1 + 0 to 4 across the boat = 9 to 13 m.
    const { findings } = judgeReach(ask({ berth, place: { fromM: 20, untilM: 32 } }));
    expect(findings.map(({ missingFact }) => missingFact?.question)).toEqual([
      'Will the boat lie with its starboard side, where the inlet is, to the dock?',
    ]);
    expect(() => judgeReach(ask({ berth }))).toThrow(/s1/);
  });
});

describe('properties of reach', () => {
  const dm = (min: number, max: number) => fc.integer({ min: min * 10, max: max * 10 }).map((value) => value / 10);
  const maybe = <T>(arbitrary: fc.Arbitrary<T>) => fc.option(arbitrary, { freq: 4 });
  const questions = fc
    .record({
      length: maybe(dm(6, 25)),
      beam: maybe(dm(2, 8)),
      cords: maybe(fc.array(dm(2, 40), { maxLength: 3 })),
      fromBow: maybe(dm(0, 6)),
      side: maybe(fc.constantFrom('port' as const, 'starboard' as const, 'centre' as const)),
      alongM: maybe(dm(-5, 30)),
      acrossM: maybe(dm(-6, 6)),
      onFace: fc.boolean(),
      iec: fc.boolean(),
      orientation: fc.constantFrom('bowIn' as const, 'sternIn' as const),
      fixed: fc.boolean(),
      inSeries: fc.constantFrom(1 as const, 2 as const),
    })
    .map((drawn) => {
      const place = drawn.onFace ? { fromM: 5, untilM: 5 + (drawn.length ?? 12) } : null;
      // A long detour leaves room to bring an outlet nearer.
      const reach = { outletId: 'o1', alongM: drawn.alongM, acrossM: drawn.acrossM, detourM: drawn.iec ? 12 : 0 };
      const berth = berthOf({
        reaches: [reach],
        lengthM: 26,
        beamM: 9,
        faceFromM: place && 0,
        faceUntilM: place && 60,
      });
      const inlet = inletOf({ fromBowM: told(drawn.fromBow), side: told(drawn.side) });
      const cordSets = drawn.cords === null ? null : told(drawn.cords.map(cord));
      const boat = boatOf({ lengthOverallM: told(drawn.length), beamM: told(drawn.beam), cordSets, inlets: [inlet] });
      return ask({
        boat,
        inlet,
        berth,
        reach,
        place,
        cords: cordRule(drawn.iec ? 'IEC 60309' : 'NEMA WD 6', { ...settings, cordsInSeriesAllowed: drawn.inSeries }),
        orientation: drawn.orientation,
        dock: dockOf(drawn.fixed ? 'fixed' : 'floating'),
      });
    });
  const rank = { refused: 3, unconfirmed: 2, cautioned: 1, clear: 0 };
  const grave = (question: ReachQuestion) => rank[verdictOf(judgeReach(question).findings)];
  const withCords = (question: ReachQuestion, lengthsM: readonly number[]): ReachQuestion => ({
    ...question,
    boat: { ...question.boat, cordSets: told(lengthsM.map(cord)) },
  });

  it('one more cord, or a longer one that may be used, never makes reach worse', () => {
    fc.assert(
      fc.property(
        questions,
        fc.array(dm(2, 25), { minLength: 1, maxLength: 3 }),
        dm(0, 15),
        (question, lengthsM, more) => {
          const before = grave(withCords(question, lengthsM));
          expect(grave(withCords(question, [...lengthsM, more + 1]))).toBeLessThanOrEqual(before);
          const longest = question.cords.longestCordM ?? 100;
          const longer = lengthsM.map((lengthM, index) => (index === 0 ? Math.min(longest, lengthM + more) : lengthM));
          expect(grave(withCords(question, longer))).toBeLessThanOrEqual(before);
        },
      ),
    );
  });

  it('the cord needed, once aboard, leaves nothing to refuse or ask', () => {
    fc.assert(
      fc.property(questions, (question) => {
        const { cordNeededM } = judgeReach(question);
        if (cordNeededM !== null) expect(grave(withCords(question, [cordNeededM]))).toBe(rank.clear);
      }),
    );
  });

  it('the outcome in figures stands for the gravest finding in words', () => {
    fc.assert(
      fc.property(questions, (question) => {
        const { outcome, findings } = judgeReach(question);
        expect(new Set(findings.map(({ level }) => level))).toEqual(
          new Set(levelOfOutcome[outcome] === null ? [] : [levelOfOutcome[outcome]]),
        );
      }),
    );
  });

  it('every refusal names a rule and its mend lifts it', () => {
    fc.assert(
      fc.property(questions, (question) => {
        for (const refusal of judgeReach(question).findings.filter(({ level }) => level === 'refuse')) {
          const lengthM = firstMetres(refusal.mend);
          if (refusal.mend?.startsWith('a cord')) {
            // Stated to the centimetre: the usual length itself may be half a centimetre longer.
            expect(grave(withCords(question, [lengthM + 0.005]))).toBeLessThan(rank.refused);
            continue;
          }
          const reach = { ...question.reach, detourM: question.reach.detourM - lengthM };
          const nearer = judgeReach(withCords({ ...question, reach }, [25]));
          expect(verdictOf(nearer.findings)).not.toBe('refused');
        }
      }),
    );
  });

  it('a missing fact never makes a refused or unconfirmed reach certain', () => {
    fc.assert(
      fc.property(questions, (question) => {
        if (grave(question) < rank.unconfirmed) return;
        const { boat, reach } = question;
        const inlet = question.inlet ?? inletOf();
        const withInlet = (changed: typeof inlet) => ({
          ...question,
          inlet: changed,
          boat: { ...boat, inlets: [changed] },
        });
        const blurred: ReachQuestion[] = [
          ...(['lengthOverallM', 'beamM', 'cordSets'] as const).map((key) => ({
            ...question,
            boat: { ...boat, [key]: null },
          })),
          withInlet({ ...inlet, fromBowM: null }),
          withInlet({ ...inlet, side: null }),
          { ...question, inlet: null },
          { ...question, reach: { ...reach, alongM: null } },
          { ...question, reach: { ...reach, acrossM: null } },
        ];
        for (const one of blurred) expect(grave(one)).toBeGreaterThanOrEqual(rank.unconfirmed);
      }),
    );
  });
});
