import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  type FacePlacementQuestion,
  faceGaps,
  facePlaces,
  isFreeFacePlace,
} from '../../../core/berths/face-placement.ts';

const ask = (change: Partial<FacePlacementQuestion> = {}): FacePlacementQuestion => ({
  berth: { fromM: 0, untilM: 60 },
  lengthM: 10,
  clearanceM: 1,
  uses: [],
  outletsAtM: [],
  inletsFromLowEndM: [],
  ...change,
});

describe('places along a face', () => {
  //  0        10 11          23 24                          60
  //  |=========|  gap 11..23  |  ...   uses 0-10 and 24-40: gaps [11, 23) and [41, 60)
  const uses = [
    { fromM: 24, untilM: 40 },
    { fromM: 0, untilM: 10 },
  ];

  it('finds the gaps with clearance to every boat and none at the end of the berth', () => {
    expect(faceGaps({ fromM: 0, untilM: 60 }, uses, 1)).toEqual([
      { fromM: 11, untilM: 23 },
      { fromM: 41, untilM: 60 },
    ]);
  });

  it('keeps clear of a boat on the next berth of the same face', () => {
    expect(faceGaps({ fromM: 10, untilM: 30 }, [{ fromM: 30, untilM: 40 }], 1)).toEqual([{ fromM: 10, untilM: 29 }]);
  });

  it('packs at either end, the tightest gap first', () => {
    expect(facePlaces(ask({ uses })).map(({ fromM, untilM }) => [fromM, untilM])).toEqual([
      [11, 21],
      [13, 23],
      [41, 51],
      [50, 60],
    ]);
  });

  it('offers the metres that bring an inlet to an outlet, after those that cut nothing off', () => {
    const places = facePlaces(ask({ uses: [], outletsAtM: [30, 3], inletsFromLowEndM: [2] }));
    // The second outlet's place leaves 1 m before it, of which nobody can have anything: one metre is wasted.
    expect(places).toEqual([
      { fromM: 0, untilM: 10, leftBeforeM: 0, leftAfterM: 49, cutOffM: 0, gapM: 60, at: 'gapStart' },
      { fromM: 50, untilM: 60, leftBeforeM: 49, leftAfterM: 0, cutOffM: 0, gapM: 60, at: 'gapEnd' },
      { fromM: 1, untilM: 11, leftBeforeM: 0, leftAfterM: 48, cutOffM: 0, gapM: 60, at: 'outlet' },
      { fromM: 28, untilM: 38, leftBeforeM: 27, leftAfterM: 21, cutOffM: 21, gapM: 60, at: 'outlet' },
    ]);
  });

  it('brings the middle of the boat to the outlet where no inlet is known', () => {
    expect(facePlaces(ask({ outletsAtM: [30] })).find(({ at }) => at === 'outlet')).toMatchObject({
      fromM: 25,
      untilM: 35,
    });
  });

  it('has one place in a gap of just the length, and none in a shorter one', () => {
    expect(facePlaces(ask({ berth: { fromM: 0, untilM: 10 } }))).toHaveLength(1);
    expect(facePlaces(ask({ berth: { fromM: 0, untilM: 9.9 } }))).toEqual([]);
  });

  const quarter = (max: number) => fc.integer({ min: 0, max: max * 4 }).map((value) => value / 4);
  const questions = fc
    .record({
      from: quarter(10),
      length: quarter(70),
      boat: quarter(20).map((lengthM) => lengthM + 0.25),
      clearanceM: quarter(2),
      uses: fc.array(
        fc.tuple(
          quarter(80),
          quarter(20).map((lengthM) => lengthM + 0.25),
        ),
        { maxLength: 8 },
      ),
      outletsAtM: fc.array(quarter(80), { maxLength: 4 }),
      inletsFromLowEndM: fc.array(quarter(15), { maxLength: 2 }),
    })
    .map((drawn) =>
      ask({
        berth: { fromM: drawn.from, untilM: drawn.from + drawn.length },
        lengthM: drawn.boat,
        clearanceM: drawn.clearanceM,
        uses: drawn.uses.map(([fromM, lengthM]) => ({ fromM, untilM: fromM + lengthM })),
        outletsAtM: drawn.outletsAtM,
        inletsFromLowEndM: drawn.inletsFromLowEndM,
      }),
    );

  it('every place is free; there is one exactly where a try of every quarter metre finds one', () => {
    fc.assert(
      fc.property(questions, (question) => {
        const { berth, lengthM, clearanceM, uses } = question;
        const free = (fromM: number) =>
          fromM >= berth.fromM &&
          fromM + lengthM <= berth.untilM &&
          uses.every((use) => fromM + lengthM + clearanceM <= use.fromM || use.untilM + clearanceM <= fromM);
        const tried = Array.from({ length: 400 }, (_, index) => index / 4);
        const places = facePlaces(question);
        for (const place of places) {
          expect(free(place.fromM)).toBe(true);
          expect(place.untilM - place.fromM).toBe(lengthM);
        }
        expect(places.length > 0).toBe(tried.some(free));
        for (const fromM of tried) {
          expect(isFreeFacePlace({ fromM, untilM: fromM + lengthM }, question)).toBe(free(fromM));
        }
      }),
    );
  });

  it('does not depend on the order of uses and outlets', () => {
    fc.assert(
      fc.property(questions, (question) => {
        const turned = {
          ...question,
          uses: question.uses.toReversed(),
          outletsAtM: question.outletsAtM.toReversed(),
          inletsFromLowEndM: question.inletsFromLowEndM.toReversed(),
        };
        expect(facePlaces(turned)).toEqual(facePlaces(question));
      }),
    );
  });

  it('never reaches into the next use by the last bits of a sum', () => {
    const decimals = fc.integer({ min: 1, max: 6000 }).map((value) => value / 100);
    fc.assert(
      fc.property(decimals, decimals, (untilM, lengthM) => {
        for (const place of facePlaces(ask({ lengthM, clearanceM: 0, uses: [{ fromM: untilM, untilM: 60 }] }))) {
          expect(place.untilM).toBeLessThanOrEqual(untilM);
          expect(place.fromM).toBeGreaterThanOrEqual(0);
        }
      }),
    );
  });
});
