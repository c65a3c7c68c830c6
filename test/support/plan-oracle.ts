import { costAims, notNative, type PlanCosts, prioritiesOf } from '../../core/berths/plan/columns.ts';
import type { PlanQuestion, PlanStay } from '../../core/berths/plan/question.ts';
import { planScene } from '../../core/berths/plan/scene.ts';
import { demandAt } from '../../core/electrical/demand/demand-at.ts';
import type { LevelResult } from '../../core/linear/linear-model.ts';
import { modelBuilder } from '../../core/linear/model-builder.ts';
import { solve } from '../../server/solver/solve.ts';

/** One stay in one berth with its outlets, as the plain model and the oracle see it. */
export interface PlainChoice {
  readonly stay: PlanStay;
  readonly berthId: string;
  readonly unitIds: readonly string[];
  readonly outletIds: readonly string[];
  readonly statedVa: readonly (number | null)[];
  readonly stockIds: readonly string[];
  readonly from: number;
  readonly until: number;
  /** Null: the whole stay; else the moment of its move, and which side of it. */
  readonly part: { readonly movesAt: number; readonly isFirst: boolean } | null;
  readonly costs: PlanCosts;
}

/** Every choice of every stay: no classes, nothing left out because it looks no better. Berths taken whole only. */
export function plainChoices(question: PlanQuestion): PlainChoice[] {
  const scene = planScene(question);
  return question.stays.flatMap((stay) => {
    const { from, until } = scene.periodOf(stay);
    const choices: PlainChoice[] = [];
    const { present } = stay;
    if (present !== null && scene.mayKeep(stay)) {
      const berth = question.index.berths.get(present.berthId);
      const same =
        berth &&
        scene.judge
          .ways(stay, berth)
          .ways.find((way) => scene.outletIdsOf(berth, way).sort().join() === [...present.outletIds].sort().join());
      choices.push({
        stay,
        berthId: present.berthId,
        unitIds: berth?.unitIds ?? [],
        outletIds: present.outletIds,
        statedVa: present.statedVa,
        stockIds: present.adapters.flatMap(({ from: owner, stockId }) => (owner === 'stock' ? (stockId ?? []) : [])),
        from,
        until,
        part: null,
        costs: {
          moves: 0,
          notNative: same ? notNative(same) : 0,
          waste: same?.waste ?? 0,
          unmet: unmetOf(question, stay, present.berthId, present.orientation),
        },
      });
    }
    const turnoverMs = stay.occupiedUntil - stay.period.until;
    const isDivided = question.settings.moveInside && present === null;
    const pieces = [
      { from, until, part: null, moves: present === null ? 0 : 1 },
      ...(isDivided ? stay.movesAt : []).flatMap((movesAt) => [
        { from, until: movesAt + turnoverMs, part: { movesAt, isFirst: true }, moves: 1 },
        { from: movesAt, until, part: { movesAt, isFirst: false }, moves: 0 },
      ]),
    ];
    for (const berth of question.index.inventory.berths) {
      for (const way of scene.judge.ways(stay, berth).ways) {
        if (!scene.mayTake(stay, way)) continue;
        const outletIds = scene.outletIdsOf(berth, way);
        for (const { moves, ...piece } of pieces) {
          const meets = (use: { from: number; until: number }) => use.from < piece.until && piece.from < use.until;
          if (question.spaceUses.some((use) => berth.unitIds.includes(use.unitId) && meets(use))) continue;
          if (question.outletUses.some((use) => outletIds.includes(use.outletId) && meets(use))) continue;
          choices.push({
            stay,
            berthId: berth.id,
            unitIds: berth.unitIds,
            outletIds,
            statedVa: way.statedVa,
            stockIds: way.adapters.flatMap(({ from: owner, stockId }) => (owner === 'stock' ? (stockId ?? []) : [])),
            ...piece,
            costs: {
              moves,
              notNative: notNative(way),
              waste: way.waste,
              unmet: unmetOf(question, stay, berth.id, way.orientation),
            },
          });
        }
      }
    }
    return choices;
  });
}

/** A boater's wishes that a berth leaves unmet, one by one. */
function unmetOf({ index }: PlanQuestion, { wishes }: PlanStay, berthId: string, orientation: string): number {
  const unitId = index.berths.get(berthId)?.unitIds[0] ?? '';
  const dock = index.inventory.docks.find(({ id }) => id === index.spaceUnits.get(unitId)?.dockId);
  let unmet = 0;
  if (wishes.berthId !== null && wishes.berthId !== berthId) unmet += 1;
  if (wishes.dockId !== null && wishes.dockId !== dock?.id) unmet += 1;
  if (wishes.mooring !== null && wishes.mooring !== dock?.kind) unmet += 1;
  if (wishes.orientation !== null && wishes.orientation !== orientation) unmet += 1;
  return unmet;
}

/** Both sides of one move. */
function areParts({ part: a }: PlainChoice, { part: b }: PlainChoice): boolean {
  return a !== null && b !== null && a.movesAt === b.movesAt && a.isFirst !== b.isFirst;
}

/** What is wrong with a set of choices, each looked at by itself and at every start: the slowest way, and the plainest. */
export function faultsOf(question: PlanQuestion, chosen: readonly PlainChoice[]): string[] {
  const faults: string[] = [];
  const { index, practice } = question;
  chosen.forEach((a, i) => {
    for (const b of chosen.slice(i + 1)) {
      if (a.stay.id === b.stay.id && !areParts(a, b)) faults.push(`${a.stay.id} is placed twice`);
      if (a.from >= b.until || b.from >= a.until) continue;
      if (a.unitIds.some((id) => b.unitIds.includes(id))) faults.push(`${a.stay.id} and ${b.stay.id} on one space`);
      if (a.outletIds.some((id) => b.outletIds.includes(id)))
        faults.push(`${a.stay.id} and ${b.stay.id} on one outlet`);
    }
    for (const use of question.spaceUses) {
      if (a.unitIds.includes(use.unitId) && a.from < use.until && use.from < a.until)
        faults.push(`${a.stay.id} on a held space`);
    }
    for (const use of question.outletUses) {
      if (a.outletIds.includes(use.outletId) && a.from < use.until && use.from < a.until)
        faults.push(`${a.stay.id} on a held outlet`);
    }
  });
  for (const at of new Set([...chosen, ...question.outletUses].map(({ from }) => from))) {
    const here = chosen.filter(({ from, until }) => from <= at && at < until);
    for (const { id, quantity } of index.inventory.adapterStock) {
      if (here.flatMap(({ stockIds }) => stockIds).filter((stockId) => stockId === id).length > quantity)
        faults.push(`too many of ${id}`);
    }
    if (here.length > 0) faults.push(...overloadsAt(question, here, at).map((part) => `${part} is over its limit`));
  }
  return faults;

  function overloadsAt(asked: PlanQuestion, here: readonly PlainChoice[], at: number): string[] {
    const uses = here.flatMap(({ stay, outletIds, statedVa, from, until }) =>
      outletIds.map((outletId, i) => ({
        outletId,
        statedVa: statedVa[i] ?? null,
        from,
        until,
        by: { kind: 'assignment', id: stay.id, label: stay.id } as const,
      })),
    );
    const basis = index.inventory.settings.refusingBasis;
    const carrying = new Set(
      uses.flatMap(({ outletId }) => (index.pathOfOutlet.get(outletId) ?? []).map(({ id }) => id)),
    );
    return demandAt(index, practice, [...asked.outletUses, ...uses], at)
      .map((both) => both[basis])
      .filter(({ assessment, equipmentId }) => assessment === 'over' && carrying.has(equipmentId))
      .map(({ equipmentId }) => equipmentId);
  }
}

/** What a set of choices reaches in each aim. */
export function aimsOfChoices(question: PlanQuestion, chosen: readonly PlainChoice[]): number[] {
  const { serve } = question.settings;
  const served = prioritiesOf(question.stays).map((priority) =>
    chosen
      .filter(({ stay, part }) => stay.priority === priority && (part === null || part.isFirst))
      .reduce((sum, { stay }) => sum + (serve === 'boats' ? 1 : stay.nights), 0),
  );
  return [...served, ...costAims.map(({ of }) => chosen.reduce((sum, choice) => sum + of(choice), 0))];
}

/** Largest less smallest line of each pedestal's feeder, A, at every beginning of a stay or of another use, summed. */
export function unbalanceOf({ index, stays, outletUses }: PlanQuestion, chosen: readonly PlainChoice[]): number {
  const others = outletUses.map((use) => ({ ...use, outletIds: [use.outletId] }));
  let sum = 0;
  for (const at of new Set([...stays.map(({ period }) => period.from), ...outletUses.map(({ from }) => from)])) {
    const inUse = [...chosen, ...others].filter(({ from, until }) => from <= at && at < until);
    const byFeeder = new Map<string, Record<string, number>>();
    for (const id of inUse.flatMap(({ outletIds }) => outletIds)) {
      const outlet = index.outlets.get(id);
      const feeder = index.pathOfOutlet.get(id)?.[0];
      if (outlet === undefined || feeder === undefined) continue;
      const names = index.systemOfEquipment.get(feeder.id)?.lines.map(({ name }) => name) ?? [];
      const loads = byFeeder.get(feeder.id) ?? Object.fromEntries(names.map((name) => [name, 0]));
      byFeeder.set(feeder.id, loads);
      // Common practice: a 30 A outlet of these marinas loads one line with 30 A, a 50 A outlet two with 50 A.
      for (const line of outlet.lines ?? []) loads[line] = (loads[line] ?? 0) + (outlet.breakerA ?? 0);
    }
    for (const loads of byFeeder.values()) sum += Math.max(...Object.values(loads)) - Math.min(...Object.values(loads));
  }
  return Math.round(sum);
}

/** The direct model: one variable for each choice, a row for each space, outlet and adapter at each start. */
export async function solvePlainly(question: PlanQuestion, timeLimitS: number) {
  const choices = plainChoices(question);
  const forbidden: { columns: number[]; most: number }[] = [];
  for (let rounds = 1; ; rounds++) {
    const builder = modelBuilder();
    for (const _ of choices) builder.addColumn(0, 1);
    const least = Number.NEGATIVE_INFINITY;
    const addRow = (lower: number, upper: number, columns: readonly number[]) => {
      if (columns.length > upper || lower > least)
        builder.addRow(
          lower,
          upper,
          columns,
          columns.map(() => 1),
        );
    };
    for (const stay of question.stays) {
      addRow(
        stay.promised ? 1 : least,
        1,
        choices.flatMap((choice, i) => (choice.stay === stay ? [i] : [])),
      );
    }
    const byThing = new Map<string, number[]>();
    const push = (key: string, i: number) => byThing.set(key, [...(byThing.get(key) ?? []), i]);
    choices.forEach(({ unitIds, outletIds, stockIds }, i) => {
      for (const id of unitIds) push(`1 unit ${id}`, i);
      for (const id of outletIds) push(`1 outlet ${id}`, i);
      for (const id of stockIds) push(`${question.index.adapterStock.get(id)?.quantity ?? 0} stock ${id}`, i);
    });
    for (const [key, columns] of byThing) {
      const starts = new Set(columns.map((i) => choices[i]?.from ?? 0));
      for (const at of starts) {
        const here = columns.filter((i) => (choices[i]?.from ?? 0) <= at && at < (choices[i]?.until ?? 0));
        addRow(least, Number.parseInt(key, 10), here);
      }
    }
    for (const { columns, most } of forbidden) addRow(least, most, columns);
    const levels: { sense: 'most' | 'least'; of: (choice: PlainChoice) => number }[] = [
      ...prioritiesOf(question.stays).map((priority) => ({
        sense: 'most' as const,
        of: ({ stay }: PlainChoice) =>
          stay.priority !== priority ? 0 : question.settings.serve === 'boats' ? 1 : stay.nights,
      })),
      ...costAims.map(({ of }) => ({ sense: 'least' as const, of })),
    ];
    const all = choices.map((_, i) => i);
    levels.forEach(({ sense, of }, k) => {
      const weights = choices.map(of);
      const range = question.stays.length * weights.reduce((most, weight) => Math.max(most, weight), 0);
      builder.addLevel({ name: `${k}`, unit: '', sense, range }, all, weights);
    });
    const solution = await solve(builder.build(), { timeLimitS });
    const chosen = choices.filter((_, i) => (solution.values?.[i] ?? 0) > 0.5);
    const overloads = solution.values === null ? [] : overloadedSets(question, choices, solution.values);
    if (overloads.length === 0)
      return { status: solution.status, chosen, levels: solution.levels as LevelResult[], rounds };
    forbidden.push(...overloads);
  }
}

/** Choices that pass a limit together, each set as small as it can be, and all sets like it by exchanging outlets alike. */
function overloadedSets(question: PlanQuestion, choices: readonly PlainChoice[], values: Float64Array) {
  const chosen = choices.flatMap((_, i) => ((values[i] ?? 0) > 0.5 ? [i] : []));
  const at = (ids: readonly number[]) => ids.flatMap((i) => choices[i] ?? []);
  const sets: number[][] = [];
  const loadsOnly = { ...question, spaceUses: [], index: question.index };
  const isOver = (ids: readonly number[]) =>
    faultsOf(loadsOnly, at(ids)).some((fault) => fault.endsWith('over its limit'));
  for (const start of new Set(chosen.map((i) => choices[i]?.from ?? 0))) {
    let set = chosen.filter((i) => (choices[i]?.from ?? 0) <= start && start < (choices[i]?.until ?? 0));
    if (!isOver(set)) continue;
    for (const i of [...set]) {
      const without = set.filter((each) => each !== i);
      if (isOver(without)) set = without;
    }
    sets.push(set);
  }
  return sets.flatMap((set) => {
    const keys = new Set(at(set).map((choice) => loadKey(question, choice)));
    const [key] = keys;
    if (keys.size === 1 && key !== undefined) {
      // As many of the same load, whoever they are, are too much at every moment.
      const same = choices.flatMap((choice, i) => (loadKey(question, choice) === key ? [i] : []));
      const starts = new Set(same.map((i) => choices[i]?.from ?? 0));
      const isHere = (start: number) => (i: number) =>
        (choices[i]?.from ?? 0) <= start && start < (choices[i]?.until ?? 0);
      return [...starts].map((start) => ({ columns: same.filter(isHere(start)), most: set.length - 1 }));
    }
    // The same stay on outlets that load the same equipment alike would be too much as well.
    const alike = (a: PlainChoice, b: PlainChoice) =>
      a.stay === b.stay && loadKey(question, a) === loadKey(question, b);
    const more = choices.flatMap((choice, i) =>
      !set.includes(i) && at(set).some((one) => alike(one, choice)) ? [i] : [],
    );
    return [{ columns: [...set, ...more], most: set.length - 1 }];
  });
}

function loadKey({ index }: PlanQuestion, { outletIds, statedVa }: PlainChoice): string {
  return outletIds
    .map((id, i) => {
      const outlet = index.outlets.get(id);
      const path = index.pathOfOutlet
        .get(id)
        ?.map((part) => part.id)
        .join('>');
      return `${path} ${outlet?.configurationId} ${outlet?.lines?.join('+')} ${index.inventory.settings.refusingBasis === 'rated' ? '' : statedVa[i]}`;
    })
    .sort()
    .join('|');
}

/** The best of all sets of choices that hold, each one tried. */
export function bruteForce(question: PlanQuestion): number[] | null {
  const choices = plainChoices(question);
  const senses = [...prioritiesOf(question.stays).map(() => 1), ...costAims.map(() => -1)];
  let best: number[] | null = null;
  const visit = (place: number, chosen: readonly PlainChoice[]) => {
    const stay = question.stays[place];
    if (stay === undefined) {
      const aims = aimsOfChoices(question, chosen);
      const difference =
        best === null ? 1 : aims.map((aim, i) => (aim - (best?.[i] ?? 0)) * (senses[i] ?? 1)).find((d) => d !== 0);
      if ((difference ?? 0) > 0) best = aims;
      return;
    }
    for (const choice of choices) {
      if (choice.stay !== stay || choice.part?.isFirst === false) continue;
      const seconds =
        choice.part === null ? [null] : choices.filter((each) => each.stay === stay && areParts(choice, each));
      for (const second of seconds) {
        const next = [...chosen, choice, ...(second === null ? [] : [second])];
        if (faultsOf(question, next).length === 0) visit(place + 1, next);
      }
    }
    if (!stay.promised) visit(place + 1, chosen);
  };
  visit(0, []);
  return best;
}
