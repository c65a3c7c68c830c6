import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { UsedBy } from '../../../core/berths/occupancy.ts';
import { deriveOutletUses } from '../../../core/berths/outlet-uses.ts';
import {
  conflictsOf,
  deriveSpaceUses,
  type SpaceBox,
  type SpaceClaims,
  subtractBoxes,
} from '../../../core/berths/space-uses.ts';

const by = (kind: UsedBy['kind'], id: string): UsedBy => ({ kind, id, label: id });
const slip = { unitId: 'u1', fromM: 0, untilM: 1 };
const box = (from: number, until: number, fromM = 0, untilM = 1, unitId = 'u1'): SpaceBox => ({
  unitId,
  fromM,
  untilM,
  from,
  until,
});

describe('subtracting boxes', () => {
  //  metres
  //  10 +-----------+        left of it: before (0-2), after (5-9) over all metres,
  //   7 |   +---+   |        and above and below the hole while it lasts
  //   3 |   +---+   |
  //   0 +-----------+
  //     0   2   5   9  time
  it('leaves up to four pieces around a hole', () => {
    expect(subtractBoxes(box(0, 9, 0, 10), [box(2, 5, 3, 7)])).toEqual([
      box(0, 2, 0, 10),
      box(2, 5, 0, 3),
      box(2, 5, 7, 10),
      box(5, 9, 0, 10),
    ]);
  });

  it('merges what goes on in time past the end of a hole elsewhere', () => {
    expect(subtractBoxes(box(0, 9, 0, 10), [box(0, 4, 5, 10), box(4, 9, 5, 10)])).toEqual([box(0, 9, 0, 5)]);
  });

  it('leaves a box whole beside holes that only touch it or lie on another unit', () => {
    const whole = box(2, 5, 3, 7);
    expect(subtractBoxes(whole, [box(0, 2, 0, 10), box(5, 9, 0, 10), box(0, 9, 0, 3), box(0, 9, 0, 10, 'u2')])).toEqual(
      [whole],
    );
  });
});

describe('space held and closed', () => {
  const holding = (
    id: string,
    from: number,
    until: number,
    absences: SpaceClaims['holdings'][number]['absences'] = [],
  ) => ({
    by: by('holding', id),
    parts: [slip],
    from,
    until,
    absences,
  });
  const periods = (claims: SpaceClaims, id: string) =>
    deriveSpaceUses(claims)
      .filter((row) => row.by.id === id)
      .map(({ from, until }) => [from, until]);

  it('opens a holding in its released absence, until it is recalled', () => {
    const claims = {
      assignments: [],
      outOfService: [],
      holdings: [holding('h1', 0, 100, [{ from: 20, until: 60, recalledFrom: null }])],
      groups: [],
    };
    expect(periods(claims, 'h1')).toEqual([
      [0, 20],
      [60, 100],
    ]);
    const recalled = { ...claims, holdings: [holding('h1', 0, 100, [{ from: 20, until: 60, recalledFrom: 40 }])] };
    expect(periods(recalled, 'h1')).toEqual([
      [0, 20],
      [40, 100],
    ]);
    const never = { ...claims, holdings: [holding('h1', 0, 100, [{ from: 20, until: 60, recalledFrom: 10 }])] };
    expect(periods(never, 'h1')).toEqual([[0, 100]]);
  });

  it('gives way to a boat found there: recorded truth before closing before holding', () => {
    const claims = {
      assignments: [box(30, 40)],
      outOfService: [{ by: by('outOfService', 'x1'), parts: [slip], from: 20, until: 50 }],
      holdings: [holding('h1', 0, 100)],
      groups: [],
    };
    expect(periods(claims, 'x1')).toEqual([
      [20, 30],
      [40, 50],
    ]);
    expect(periods(claims, 'h1')).toEqual([
      [0, 20],
      [50, 100],
    ]);
  });

  it('keeps a block for a group around its members and around what comes before it, and gives way to nobody else', () => {
    const member = box(30, 40);
    const claims = {
      assignments: [member, box(70, 80)],
      outOfService: [{ by: by('outOfService', 'x1'), parts: [slip], from: 10, until: 20 }],
      holdings: [holding('h1', 90, 100)],
      groups: [{ by: by('group', 'g1'), parts: [slip], from: 0, until: 100, givesWayTo: [member] }],
    };
    // From 70 to 80 the block meets a boat that is no member: the database refuses that pair.
    expect(periods(claims, 'g1')).toEqual([
      [0, 10],
      [20, 30],
      [40, 90],
    ]);
  });

  it('keeps the rest of a composite berth when a boat lies on one of its units', () => {
    const both = { ...holding('h1', 0, 9), parts: [slip, { ...slip, unitId: 'u2' }] };
    const rows = deriveSpaceUses({ assignments: [box(3, 5)], outOfService: [], holdings: [both], groups: [] });
    expect(rows.map(({ unitId, from, until }) => [unitId, from, until])).toEqual([
      ['u1', 0, 3],
      ['u1', 5, 9],
      ['u2', 0, 9],
    ]);
  });

  it('names what a boat found displaces, in metres and in time', () => {
    const uses = [
      { ...box(0, 9, 0, 12), by: by('assignment', 'a1') },
      { ...box(0, 9, 12, 24), by: by('assignment', 'a2') },
      { ...box(9, 12, 0, 24), by: by('holding', 'h1') },
      { ...box(0, 9, 0, 24, 'u2'), by: by('assignment', 'a3') },
    ];
    expect(conflictsOf([box(8, 9, 10, 12)], uses).map((use) => use.by.id)).toEqual(['a1']);
    expect(conflictsOf([box(8, 10, 10, 13)], uses).map((use) => use.by.id)).toEqual(['a1', 'a2', 'h1']);
  });

  it('holds and closes outlets by the same rules', () => {
    const rows = deriveOutletUses({
      assignments: [{ outletId: 'o1', from: 30, until: 40 }],
      outOfService: [{ by: by('outOfService', 'x1'), outletIds: ['o1'], from: 35, until: 50 }],
      holdings: [
        {
          by: by('holding', 'h1'),
          outletIds: ['o1', 'o2'],
          from: 0,
          until: 100,
          statedVa: 900,
          absences: [{ from: 60, until: 80, recalledFrom: null }],
        },
      ],
    });
    expect(
      rows.map(({ outletId, by: { id }, from, until, statedVa }) => [outletId, id, from, until, statedVa]),
    ).toEqual([
      ['o1', 'x1', 40, 50, null],
      ['o1', 'h1', 0, 30, 900],
      ['o1', 'h1', 50, 60, 900],
      ['o1', 'h1', 80, 100, 900],
      ['o2', 'h1', 0, 60, 900],
      ['o2', 'h1', 80, 100, 900],
    ]);
  });
});

describe('properties of space held and closed, cell by cell', () => {
  // Small whole numbers, so that every cell of one metre and one time step can be looked at.
  const side = 10;
  const range = fc
    .tuple(fc.integer({ min: 0, max: side - 1 }), fc.integer({ min: 1, max: side }))
    .map(([from, length]) => ({
      from,
      until: Math.min(side, from + length),
    }));
  const part = fc
    .tuple(fc.constantFrom('u1', 'u2'), range)
    .map(([unitId, { from, until }]) => ({ unitId, fromM: from, untilM: until }));
  const boxes = fc.tuple(part, range).map(([metres, period]): SpaceBox => ({ ...metres, ...period }));
  const absence = fc
    .tuple(range, fc.option(fc.integer({ min: 0, max: side })))
    .map(([period, recalledFrom]) => ({ ...period, recalledFrom }));
  const claim = fc.tuple(range, fc.uniqueArray(part, { selector: ({ unitId }) => unitId, minLength: 1, maxLength: 2 }));
  const claims: fc.Arbitrary<SpaceClaims> = fc
    .record({
      assignments: fc.array(boxes, { maxLength: 5 }),
      closed: fc.array(claim, { maxLength: 3 }),
      held: fc.array(fc.tuple(claim, fc.array(absence, { maxLength: 2 })), { maxLength: 3 }),
      blocked: fc.array(fc.tuple(claim, fc.nat(4)), { maxLength: 2 }),
    })
    .map(({ assignments, closed, held, blocked }) => ({
      assignments,
      outOfService: closed.map(([period, parts], index) => ({ by: by('outOfService', `x${index}`), parts, ...period })),
      holdings: held.map(([[period, parts], absences], index) => ({
        by: by('holding', `h${index}`),
        parts,
        absences,
        ...period,
      })),
      groups: blocked.map(([[period, parts], member], index) => ({
        by: by('group', `g${index}`),
        parts,
        givesWayTo: assignments.slice(member, member + 2),
        ...period,
      })),
    }));
  const cells = ['u1', 'u2'].flatMap((unitId) =>
    Array.from({ length: side * side }, (_, index) => ({
      unitId,
      metre: index % side,
      time: Math.floor(index / side),
    })),
  );
  type Cell = (typeof cells)[number];
  const inTime = ({ time }: Cell, period: { from: number; until: number }) =>
    period.from <= time && time < period.until;
  const inPart = ({ unitId, metre }: Cell, on: { unitId: string; fromM: number; untilM: number }) =>
    on.unitId === unitId && on.fromM <= metre && metre < on.untilM;
  const covers = (item: SpaceBox, cell: Cell) => inPart(cell, item) && inTime(cell, item);

  it('covers each cell once at most, and exactly the claimed cells that nothing stronger takes', () => {
    fc.assert(
      fc.property(claims, ({ assignments, outOfService, holdings, groups }) => {
        const rows = deriveSpaceUses({ assignments, outOfService, holdings, groups });
        for (const cell of cells) {
          const covering = rows.filter((row) => covers(row, cell));
          const lying = assignments.some((item) => covers(item, cell));
          const closed = outOfService.some(
            ({ parts, ...period }) => inTime(cell, period) && parts.some((on) => inPart(cell, on)),
          );
          const held = holdings.some(
            ({ parts, absences, ...period }) =>
              inTime(cell, period) &&
              parts.some((on) => inPart(cell, on)) &&
              !absences.some(
                (away) => inTime(cell, away) && (away.recalledFrom === null || cell.time < away.recalledFrom),
              ),
          );
          const blocked = groups.some(
            ({ parts, givesWayTo, ...period }) =>
              inTime(cell, period) &&
              parts.some((on) => inPart(cell, on)) &&
              !givesWayTo.some((item) => covers(item, cell)),
          );
          // Under a boat no holder and no closing has rows, so only a group's can meet it.
          const above = lying ? null : closed ? 'outOfService' : held ? 'holding' : null;
          const expected = above !== null ? [above] : blocked ? ['group'] : [];
          expect(covering.map((row) => row.by.kind)).toEqual(expected);
        }
        for (const row of rows) expect(row.from < row.until && row.fromM < row.untilM).toBe(true);
      }),
    );
  });

  it('does not depend on the order of the claims', () => {
    const sorted = (rows: ReturnType<typeof deriveSpaceUses>) => rows.map((row) => JSON.stringify(row)).sort();
    fc.assert(
      fc.property(claims, ({ assignments, outOfService, holdings, groups }) => {
        const turned = {
          assignments: assignments.toReversed(),
          outOfService: outOfService.toReversed(),
          holdings: holdings.toReversed(),
          groups: groups.toReversed(),
        };
        expect(sorted(deriveSpaceUses(turned))).toEqual(
          sorted(deriveSpaceUses({ assignments, outOfService, holdings, groups })),
        );
      }),
    );
  });

  it('leaves no two pieces of one row that could be one for longer', () => {
    fc.assert(
      fc.property(boxes, fc.array(boxes, { maxLength: 6 }), (whole, holes) => {
        const pieces = subtractBoxes(whole, holes);
        const joined = pieces.filter((a) =>
          pieces.some((b) => a.until === b.from && a.fromM === b.fromM && a.untilM === b.untilM),
        );
        expect(joined).toEqual([]);
      }),
    );
  });

  it('outlets: each step once at most, nothing over what is plugged in', () => {
    const ids = ['o1', 'o2'];
    const outletClaims = fc.array(
      fc.tuple(range, fc.constantFrom<string[][]>(['o1'], ['o2'], ids), fc.array(absence, { maxLength: 2 })),
      { maxLength: 4 },
    );
    fc.assert(
      fc.property(outletClaims, outletClaims, outletClaims, (plugged, closed, held) => {
        const assignments = plugged.flatMap(([period, outletIds]) =>
          outletIds.map((outletId) => ({ outletId, ...period })),
        );
        const outOfService = closed.map(([period, outletIds], index) => ({
          by: by('outOfService', `x${index}`),
          outletIds,
          ...period,
        }));
        const holdings = held.map(([period, outletIds, absences], index) => ({
          by: by('holding', `h${index}`),
          outletIds,
          absences,
          statedVa: null,
          ...period,
        }));
        const rows = deriveOutletUses({ assignments, outOfService, holdings });
        for (const outletId of ids) {
          for (let time = 0; time < side; time += 1) {
            const now = (item: { from: number; until: number }) => item.from <= time && time < item.until;
            const onOutlet = (item: { outletIds: string[]; from: number; until: number }) =>
              item.outletIds.includes(outletId) && now(item);
            const away = (item: (typeof holdings)[number]) =>
              item.absences.some((gone) => now(gone) && (gone.recalledFrom === null || time < gone.recalledFrom));
            const expected = assignments.some((item) => item.outletId === outletId && now(item))
              ? []
              : outOfService.some(onOutlet)
                ? ['outOfService']
                : holdings.some((item) => onOutlet(item) && !away(item))
                  ? ['holding']
                  : [];
            expect(rows.filter((row) => row.outletId === outletId && now(row)).map((row) => row.by.kind)).toEqual(
              expected,
            );
          }
        }
      }),
    );
  });
});
