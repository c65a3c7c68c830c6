import { type Finding, gravestFirst, type Verdict } from '../../findings.ts';
import type { Berth, Dock, Outlet } from '../../inventory/inventory.ts';
import { configuration } from '../../standards/configurations.ts';
import { type FitWaste, fitWaste, judgeFit } from '../fit.ts';
import type { MetreRange } from '../metres.ts';
import { cordsNeeded, doubtOfCords, findingsOfCords, type Lying, measureCords } from './cords.ts';
import { addDoubt, type Doubt, doubtOf, isGraver, noDoubt, verdictOfDoubt } from './doubt.ts';
import { judgeWishes, unmetWishes } from './judge-wishes.ts';
import type { BerthOption } from './options.ts';
import { type PowerWay, powerWays } from './power-ways.ts';
import type { Prepared } from './prepare.ts';
import { judgeRoom, roomIn } from './room.ts';
import { compareScores, namedScore, type Score, scoreOf } from './score.ts';

/** A berth with the best way to lie in it, judged in figures. `describe` puts it into words, which costs more. */
export interface RankedBerth {
  readonly berth: Berth;
  readonly verdict: Verdict;
  readonly score: Score;
  readonly describe: () => BerthOption;
}

/** Every berth of the marina, best first; refused ones after all others. Equals keep the inventory's order. */
export function rankBerths(prepared: Prepared): RankedBerth[] {
  const { berths } = prepared.question.index.inventory;
  return berths.map((berth) => rankBerth(prepared, berth)).sort((a, b) => compareScores(a.score, b.score));
}

/** The best way to lie in one berth. */
export function rankBerth(prepared: Prepared, berth: Berth): RankedBerth {
  const dock = dockOf(prepared, berth);
  const fit = judgeFit(prepared.question.boat, berth, prepared.lowTide, prepared.question.index.inventory.settings);
  const { findings: space, places } = roomIn(prepared, berth);
  const ofBerth = { berth, dock, waste: fitWaste(prepared.question.boat, berth) };
  const [anyWay] = berth.orientations;
  const nowhere: Lying = { berth, dock, orientation: anyWay ?? 'bowIn', place: null };
  // Where there is no room the power is not judged: nothing about it would change the answer.
  const noRoom = ranked(
    prepared,
    nowhere,
    { ...ofBerth, room: [...fit, ...space], doubt: doubtOf([...fit, ...space]) },
    null,
    0,
  );

  const about = { ...ofBerth, room: fit, doubt: doubtOf(fit) };
  let best: Candidate | null = null;
  for (const place of places) {
    const ways = powerWays(prepared, berth, outletsAt(prepared, berth, place.metres));
    for (const orientation of berth.orientations) {
      const lying: Lying = { berth, dock, orientation, place: place.metres };
      for (const { doubt, way } of ways) {
        if (best !== null && isGraver(addDoubt(about.doubt, doubt), best.doubt)) continue;
        const candidate = ranked(prepared, lying, about, way(), place.cutOffM);
        if (best === null || compareScores(candidate.score, best.score) < 0) best = candidate;
      }
    }
  }
  return rankedBerth(prepared, best ?? noRoom);
}

/** One given way to lie and to be powered, as a person chose it. */
export function rankChoice(prepared: Prepared, lying: Lying, way: PowerWay): RankedBerth {
  const { berth, dock, place } = lying;
  const { boat, index } = prepared.question;
  const room = [
    ...judgeFit(boat, berth, prepared.lowTide, index.inventory.settings),
    ...judgeRoom(prepared, berth, place),
  ];
  const about = { berth, dock, waste: fitWaste(boat, berth), room, doubt: doubtOf(room) };
  return rankedBerth(prepared, ranked(prepared, lying, about, way, 0));
}

export function dockOf({ question: { index } }: Prepared, berth: Berth): Dock {
  const unit = index.spaceUnits.get(berth.unitIds[0] ?? '');
  const dock = unit === undefined ? undefined : index.docks.get(unit.dockId);
  if (dock === undefined) throw new Error(`berth "${berth.id}" stands on no dock: validate the inventory first`);
  return dock;
}

interface AboutBerth {
  readonly waste: FitWaste;
  readonly room: readonly Finding[];
  readonly doubt: Doubt;
}

interface Candidate {
  readonly lying: Lying;
  readonly about: AboutBerth;
  readonly way: PowerWay | null;
  readonly doubt: Doubt;
  readonly score: Score;
}

function ranked(prepared: Prepared, lying: Lying, about: AboutBerth, way: PowerWay | null, cutOffM: number): Candidate {
  const cords = way === null ? noDoubt : doubtOfCords(measureCords(prepared, lying, way));
  const doubt = addDoubt(addDoubt(about.doubt, way?.doubt ?? noDoubt), cords);
  const score = scoreOf({
    ...doubt,
    adaptersToBring: way?.adaptersToBring ?? 0,
    adapters: way?.adapters ?? 0,
    lengthLeftM: about.waste.lengthLeftM,
    beamLeftM: about.waste.beamLeftM,
    cutOffM,
    outletLeftA: way?.outletLeftA ?? 0,
    marginShare: way?.demand?.tightest?.marginShare ?? null,
    unbalanceA: way?.unbalanceA ?? 0,
    unmetWishes: unmetWishes(prepared.question.wishes, lying).length,
  });
  return { lying, about, way, doubt, score };
}

function rankedBerth(prepared: Prepared, { lying, about, way, doubt, score }: Candidate): RankedBerth {
  const { berth, dock, orientation, place } = lying;
  const verdict = verdictOfDoubt(doubt);
  return {
    berth,
    verdict,
    score,
    describe: () => {
      const cords = way === null ? [] : measureCords(prepared, lying, way);
      return {
        berthId: berth.id,
        label: berth.label,
        dockId: dock.id,
        verdict,
        orientation,
        place,
        hookUp: way?.hookUp() ?? null,
        outletIds: way?.outlets.map(({ id }) => id) ?? [],
        cords: cordsNeeded(cords),
        tightest: way?.demand?.tightest ?? null,
        findings: gravestFirst([
          ...about.room,
          ...(way?.findings() ?? []),
          ...findingsOfCords(cords),
          ...judgeWishes(prepared.question.wishes, lying),
        ]),
        score: namedScore(score),
      };
    },
  };
}

/** Shore-power outlets that a boat there may use: those that the berth reaches, on a face the nearest of them. */
export function outletsAt(prepared: Prepared, berth: Berth, place: MetreRange | null): Outlet[] {
  const inReach = shorePowerInReach(prepared, berth);
  return place === null ? inReach : nearest(berth, inReach, place);
}

function shorePowerInReach({ question: { index } }: Prepared, berth: Berth): Outlet[] {
  return berth.reaches.flatMap(({ outletId }) => {
    const outlet = index.outlets.get(outletId);
    return outlet !== undefined && configuration(outlet.configurationId)?.shorePower !== false ? [outlet] : [];
  });
}

const mostOutletsAtPlace = 8;

/** Along a face only the outlets nearest to the boat come into question. */
function nearest(berth: Berth, outlets: readonly Outlet[], place: MetreRange): Outlet[] {
  if (outlets.length <= mostOutletsAtPlace) return [...outlets];
  const alongM = new Map(berth.reaches.map((reach) => [reach.outletId, reach.alongM]));
  const offM = ({ id }: Outlet) => {
    const atM = alongM.get(id) ?? null;
    return atM === null ? 0 : Math.max(0, place.fromM - atM, atM - place.untilM);
  };
  return [...outlets].sort((a, b) => offM(a) - offM(b)).slice(0, mostOutletsAtPlace);
}
