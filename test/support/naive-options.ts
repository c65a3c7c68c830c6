import { cordRule, mayBeUsed } from '../../core/berths/cord-lengths.ts';
import type { CordWay } from '../../core/berths/cord-way.ts';
import { facePlaces } from '../../core/berths/face-placement.ts';
import { fitWaste, judgeFit } from '../../core/berths/fit.ts';
import { measureReach, type ReachQuestion } from '../../core/berths/measure-reach.ts';
import { exceeds, type MetreRange } from '../../core/berths/metres.ts';
import { doubtOf, noDoubt, verdictOfDoubt } from '../../core/berths/options/doubt.ts';
import type { OptionsQuestion } from '../../core/berths/options/options.ts';
import { compareScores, type Score, scoreOf } from '../../core/berths/options/score.ts';
import { toldBoat } from '../../core/berths/options/told-boat.ts';
import { judgeReach } from '../../core/berths/reach.ts';
import { lowestTide } from '../../core/berths/tide.ts';
import { toldValue } from '../../core/berths/told-value.ts';
import type { CordSet } from '../../core/boats.ts';
import { type Admission, prepareAdmission } from '../../core/electrical/demand/admission.ts';
import { loadModel } from '../../core/electrical/demand/load-model.ts';
import { findHookUps, type HookUpRequest } from '../../core/electrical/hook-up/find-hook-ups.ts';
import type { JudgedHookUp } from '../../core/electrical/hook-up/hook-up.ts';
import { supplyOutlet } from '../../core/electrical/hook-up/supply-outlet.ts';
import { prepareVolts, type StayVolts } from '../../core/electrical/network/boat-volts.ts';
import type { Finding, Verdict } from '../../core/findings.ts';
import type { Berth, Orientation, Outlet } from '../../core/inventory/inventory.ts';
import { adapterKinds } from '../../core/standards/adapter-kinds.ts';
import { configuration } from '../../core/standards/configurations.ts';
import { hookUpToBring } from './hook-up-to-bring.ts';

export interface NaiveOption {
  readonly berthId: string;
  readonly verdict: Verdict;
  readonly score: Score;
}

interface Power {
  readonly hookUp: JudgedHookUp | null;
  readonly outlets: readonly Outlet[];
  readonly findings: readonly Finding[];
  readonly statedVa: number | null;
}

/**
 * Berth options the plain way, to hold the quick way to: for every berth every place, every orientation and every order
 * of every set of free outlets, all hook-ups that a search of these outlets alone finds, each judged whole; the best
 * score wins. Refused ways count only where nothing else is.
 */
export function naiveOptions(question: OptionsQuestion): NaiveOption[] {
  const { index, practice, outletUses, period, occupiedUntil } = question;
  const during = outletUses.filter((use) => use.from < occupiedUntil && period.from < use.until);
  const volts = prepareVolts(index, practice, during);
  const admission = prepareAdmission(index, practice, outletUses, { from: period.from, until: occupiedUntil });
  return question.index.inventory.berths.map((berth) => {
    const places = placesIn(question, berth);
    const waysOf = (found: readonly Power[]) =>
      places.flatMap((place) =>
        found.flatMap((power) =>
          berth.orientations.map((orientation) => judged(question, admission, volts, berth, place, orientation, power)),
        ),
      );
    if (places.length === 0) return { berthId: berth.id, verdict: 'refused', score: [] };
    const usual = waysOf(powers(question, berth, 'usual'));
    const best = bestOf(usual);
    if (best !== null && best.verdict !== 'refused') return best;
    const others = waysOf(powers(question, berth, 'others'));
    return bestOf([...usual, ...others]) ?? { berthId: berth.id, verdict: 'refused', score: [] };
  });
}

function bestOf(options: readonly NaiveOption[]): NaiveOption | null {
  return [...options].sort((a, b) => compareScores(a.score, b.score))[0] ?? null;
}

interface NaivePlace {
  readonly metres: MetreRange | null;
  readonly cutOffM: number;
}

function placesIn(question: OptionsQuestion, berth: Berth): NaivePlace[] {
  const { index, boat, period, occupiedUntil } = question;
  const uses = question.spaceUses.filter(
    (use) => berth.unitIds.includes(use.unitId) && use.from < occupiedUntil && period.from < use.until,
  );
  if (berth.faceFromM === null || berth.faceUntilM === null)
    return uses.length > 0 ? [] : [{ metres: null, cutOffM: 0 }];
  const lengthM = toldValue(boat.lengthOverallM);
  if (lengthM === null) return [];
  const inletsM = boat.inlets.flatMap(({ fromBowM }) => toldValue(fromBowM) ?? []);
  return facePlaces({
    berth: { fromM: berth.faceFromM, untilM: berth.faceUntilM },
    lengthM,
    clearanceM: index.inventory.settings.beamClearanceM,
    uses,
    outletsAtM: berth.reaches.flatMap(({ outletId, alongM }) =>
      alongM === null || isTaken(question, outletId) ? [] : [alongM],
    ),
    inletsFromLowEndM: inletsM.flatMap((m) => berth.orientations.map((way) => (way === 'bowIn' ? lengthM - m : m))),
  }).map(({ fromM, untilM, cutOffM }) => ({ metres: { fromM, untilM }, cutOffM }));
}

function isTaken({ outletUses, period, occupiedUntil }: OptionsQuestion, outletId: string): boolean {
  return outletUses.some((use) => use.outletId === outletId && use.from < occupiedUntil && period.from < use.until);
}

/** `usual`: the hook-ups a search puts first. `others`: those that leave an inlet out, or need an adapter brought. */
function powers(question: OptionsQuestion, berth: Berth, which: 'usual' | 'others'): Power[] {
  const { index, period, occupiedUntil } = question;
  const { settings } = index.inventory;
  const boat = toldBoat(question.boat);
  const statedVa = toldValue(boat.statedLoadVa);
  const request = (outlets: readonly Outlet[]): HookUpRequest => ({
    boat,
    outlets: outlets.map((outlet) => supplyOutlet(index, outlet)),
    adapters: [
      ...(boat.adapterKindIds?.value ?? []).map((kindId) => {
        return { kindId, from: 'aboard' as const, stockId: null, quantity: 1 };
      }),
      ...index.inventory.adapterStock.map(({ id, adapterKindId, quantity }) => {
        const out = question.stockUses.filter(
          (use) => use.stockId === id && use.from < occupiedUntil && period.from < use.until,
        );
        const left = quantity - out.reduce((sum, use) => sum + use.quantity, 0);
        return { kindId: adapterKindId, from: 'stock' as const, stockId: id, quantity: Math.max(0, left) };
      }),
    ],
    adapterKinds: new Map([...adapterKinds, ...index.inventory.adapterKinds].map((kind) => [kind.id, kind])),
    refuseCordBelowBreaker: settings.refuseCordBelowBreaker,
    most: 500,
  });
  if (boat.wantsPower?.value === false) {
    const [hookUp] = findHookUps(request([])).hookUps;
    return which === 'usual' && hookUp !== undefined
      ? [{ hookUp, outlets: [], findings: hookUp.findings, statedVa }]
      : [];
  }
  const free = berth.reaches
    .flatMap(({ outletId }) => index.outlets.get(outletId) ?? [])
    .filter(
      ({ id, configurationId }) => !isTaken(question, id) && configuration(configurationId)?.shorePower !== false,
    );
  if (free.length === 0) {
    const none: Finding = {
      rule: 'outlet.none',
      level: 'refuse',
      subject: { kind: 'berth', id: berth.id, label: berth.label },
      actual: 0,
      limit: 1,
      unit: 'outlet',
      source: 'none',
      message: 'none',
    };
    return which === 'usual' ? [{ hookUp: null, outlets: [], findings: [none], statedVa }] : [];
  }
  const whole = findHookUps(request(free));
  if (whole.hookUps.length === 0 && whole.findings.every(({ level }) => level === 'confirm')) {
    const largestA = Math.max(...free.map(ratedA));
    if (which === 'others') return [];
    return free
      .filter((outlet) => ratedA(outlet) === largestA)
      .map((outlet) => ({ hookUp: null, outlets: [outlet], findings: whole.findings, statedVa: null }));
  }
  const isFull = ({ findings }: JudgedHookUp) => !findings.some(({ rule }) => rule === 'hookup.inletUnfed');
  const ofAll = which === 'others' ? hookUpToBring({ ...request(free), most: 1 }) : null;
  const found: Power[] = [];
  for (const outlets of orders(free, 3)) {
    const asked = request(outlets);
    const { hookUps } = findHookUps(asked);
    // The order of outlets matters for who gets which, hardly for what to bring.
    const isFirstOrder = outlets.every(
      (outlet, i) => i === 0 || free.indexOf(outlet) > free.indexOf(outlets[i - 1] ?? outlet),
    );
    const some = which === 'others' && isFirstOrder ? hookUpToBring({ ...asked, most: 1 }) : null;
    // An adapter to bring and an inlet without power, both, only where no adapters feed all inlets.
    const bring = some !== null && ofAll !== null && isFull(ofAll) && !isFull(some) ? null : some;
    const wanted =
      which === 'usual'
        ? hookUps.filter((each) => each.verdict !== 'refused' && isFull(each))
        : [
            ...hookUps.filter((each) => each.verdict === 'refused' || !isFull(each)),
            ...(bring === null ? [] : [bring]),
          ];
    for (const hookUp of wanted) {
      const taken = hookUp.outletIds.flatMap((id) => index.outlets.get(id) ?? []);
      found.push({ hookUp, outlets: taken, findings: hookUp.findings, statedVa });
    }
  }
  return found;
}

function judged(
  question: OptionsQuestion,
  admission: Admission,
  volts: StayVolts,
  berth: Berth,
  place: NaivePlace,
  orientation: Orientation,
  power: Power,
): NaiveOption {
  const { index, boat, wishes } = question;
  const { settings } = index.inventory;
  const dock = index.docks.get(index.spaceUnits.get(berth.unitIds[0] ?? '')?.dockId ?? '');
  if (dock === undefined) throw new Error('no dock');
  const ids = power.outlets.map(({ id }) => id);
  const demand = ids.length === 0 ? null : admission.judge(ids, power.statedVa);

  const ofCords: Finding[] = [];
  const farthestOfInlets: { asked: ReachQuestion; way: CordWay; fitting: readonly CordSet[] }[] = [];
  for (const { inletId, cordSetIds, legs } of power.hookUp?.inlets ?? []) {
    const inlet = boat.inlets.find(({ id }) => id === inletId) ?? null;
    const asked = [...new Set(legs.flatMap((leg) => leg.outletId ?? []))].map((outletId) => {
      const outlet = index.outlets.get(outletId);
      const reach = berth.reaches.find((each) => each.outletId === outletId);
      if (outlet === undefined || reach === undefined) throw new Error('out of reach');
      const cords = cordRule(configuration(outlet.configurationId)?.family ?? 'marina', settings);
      const question = { boat, inlet, berth, reach, outlet, cords, dock, orientation, place: place.metres, settings };
      return { asked: question, way: measureReach(question).way };
    });
    const [farthest] = asked.sort((a, b) => b.way.mostM - a.way.mostM || b.way.leastM - a.way.leastM);
    const fitting = toldValue(boat.cordSets)?.filter(({ id }) => cordSetIds?.includes(id)) ?? [];
    if (farthest !== undefined) farthestOfInlets.push({ ...farthest, fitting });
  }
  // Each cord to one inlet: the longest to the farthest, then what is left over where one alone is short.
  const own = new Map<ReachQuestion, CordSet[]>();
  const left = new Set(toldValue(boat.cordSets));
  const farthestFirst = [...farthestOfInlets].sort((a, b) => b.way.mostM - a.way.mostM);
  for (const round of ['first', 'second'] as const) {
    for (const { asked, way, fitting } of farthestFirst) {
      const has = own.get(asked) ?? [];
      const isShort = has[0] !== undefined && asked.cords.inSeries === 2 && exceeds(way.mostM, has[0].lengthM);
      if (round === 'second' && !isShort) continue;
      const usable = fitting.filter((each) => left.has(each) && mayBeUsed(each.lengthM, asked.cords));
      const [longest] = usable.sort((a, b) => b.lengthM - a.lengthM);
      if (longest === undefined) continue;
      left.delete(longest);
      own.set(asked, [...has, longest]);
    }
  }
  for (const { asked } of farthestOfInlets) {
    const value = own.get(asked);
    const cordSets = value === undefined || boat.cordSets === null ? boat.cordSets : { ...boat.cordSets, value };
    ofCords.push(...judgeReach({ ...asked, boat: { ...boat, cordSets } }).findings);
  }

  const findings = [
    ...judgeFit(boat, berth, lowestTide(question.localDays, settings), settings),
    ...power.findings,
    ...(demand?.findings ?? []),
    ...ofCords,
  ];
  const { lengthLeftM, beamLeftM } = fitWaste(boat, berth);
  const inletsA = (power.hookUp?.inlets ?? []).reduce(
    (sum, { configurationId }) => sum + (configuration(configurationId)?.ratedA ?? 0),
    0,
  );
  const adapters = power.hookUp?.hookUp.adapters ?? [];
  // By the bound, as all berths are ranked; what the bound is worth has properties of its own.
  const mayLeaveRange = ids.length > 0 && volts.mayLeaveRange(power.outlets, power.statedVa);
  const doubt = doubtOf(mayLeaveRange ? [...findings, { rule: 'power.volts', level: 'caution' }] : findings);
  const outletsA = power.outlets.reduce((sum, outlet) => sum + ratedA(outlet), 0);
  const unmet = [
    wishes.berthId !== null && wishes.berthId !== berth.id,
    wishes.dockId !== null && wishes.dockId !== dock.id,
    wishes.orientation !== null && wishes.orientation !== orientation,
    wishes.mooring !== null && wishes.mooring !== dock.kind,
  ].filter((each) => each).length;
  const roomLeftM =
    (lengthLeftM ?? 1_000 + (berth.lengthM ?? 0)) + (beamLeftM ?? 1_000 + (berth.beamM ?? 0)) + place.cutOffM;
  const taken = {
    inletsUnfed: power.findings.filter(({ rule }) => rule === 'hookup.inletUnfed').length,
    adaptersToBring: adapters.filter(({ from }) => from === 'toBring').length,
    adapters: adapters.length,
    outletLeftA: power.hookUp === null ? 0 : Math.max(0, outletsA - inletsA),
  };
  const figures = {
    doubt,
    doubtOfVolts: noDoubt,
    marginShare: demand?.tightest?.marginShare ?? null,
    unbalanceA: unbalanceA(question, power.outlets),
  };
  const score = scoreOf(
    doubt,
    taken,
    berth.unitIds.length,
    roomLeftM,
    figures,
    leakageLeftMa(question, power.outlets),
    unmet,
  );
  return { berthId: berth.id, verdict: verdictOfDoubt(doubt), score };
}

function ratedA(outlet: Outlet): number {
  return configuration(outlet.configurationId)?.ratedA ?? 0;
}

/** Greatest less smallest line on the feeder of any of these outlets, with everything on it in use. */
/** Kirchhoff at each device: its setting less what is read below it, 20 mA for a boat that nobody has read. */
function leakageLeftMa({ index, outletUses }: OptionsQuestion, outlets: readonly Outlet[]): number {
  let leastMa = Number.POSITIVE_INFINITY;
  for (const outlet of outlets) {
    const path = index.pathOfOutlet.get(outlet.id) ?? [];
    const end = path.findIndex(({ kind }) => kind === 'transformer');
    const above = end < 0 ? path : path.slice(0, end + 1);
    let leftMa = Number.POSITIVE_INFINITY;
    let isKnown = true;
    for (const part of [outlet, ...above]) {
      const { device, settingMa } = part.groundFault;
      if (device === 'none') continue;
      if (device === 'unknown' || settingMa === null) {
        isKnown = false;
        continue;
      }
      const below = outletUses.filter(({ outletId, by }) => {
        const way = [outletId, ...(index.pathOfOutlet.get(outletId) ?? []).map(({ id }) => id)];
        return by.kind !== 'outOfService' && way.includes(part.id);
      });
      const readMa = below.reduce((sum, use) => sum + (use.leakageMa ?? 0), 0);
      const unread = new Set(below.flatMap(({ by, leakageMa }) => (leakageMa === undefined ? [by.id] : [])));
      leftMa = Math.min(leftMa, settingMa - readMa - 20 * unread.size);
    }
    if (leftMa === Number.POSITIVE_INFINITY) leftMa = 0;
    leastMa = Math.min(leastMa, isKnown ? leftMa : Math.min(0, leftMa));
  }
  return outlets.length === 0 ? 0 : leastMa;
}

function unbalanceA({ index, outletUses }: OptionsQuestion, outlets: readonly Outlet[]): number {
  const model = loadModel(index);
  const used = outletUses.flatMap(({ outletId, by }) => {
    const outlet = index.outlets.get(outletId);
    return outlet === undefined || by.kind === 'outOfService' ? [] : [outlet];
  });
  const feederOf = (outlet: Outlet) => index.pathOfOutlet.get(outlet.id)?.[0];
  const spreads = outlets.map((outlet) => {
    const feeder = feederOf(outlet);
    if (feeder === undefined) return 0;
    const lines = feeder.lines ?? index.systemOfEquipment.get(feeder.id)?.lines.map(({ name }) => name) ?? [];
    const sums = lines.map((line) =>
      [...used, ...outlets]
        .filter((each) => feederOf(each) === feeder)
        .reduce((sum, each) => sum + (model.outletLoad(each).rating?.lineA[line] ?? 0), 0),
    );
    return sums.length < 2 ? 0 : Math.max(...sums) - Math.min(...sums);
  });
  return Math.max(0, ...spreads);
}

/** Every order of every set of one to `most` of the items. */
function orders<T>(items: readonly T[], most: number): T[][] {
  const found: T[][] = [];
  const extend = (chosen: readonly T[]) => {
    if (chosen.length > 0) found.push([...chosen]);
    if (chosen.length === most) return;
    for (const item of items) if (!chosen.includes(item)) extend([...chosen, item]);
  };
  extend([]);
  return found;
}
