import type { NeutralBond, OwnSupply } from '../../../../core/boats.ts';
import type { BoatAsFound, InletAsFound, OutletAsFound } from '../../../../core/check-in/as-found.ts';
import type { CheckInEntry } from '../../../../core/check-in/check-in.ts';
import { type FittingLook, pointsToLookAt } from '../../../../core/check-in/fitting-points.ts';
import { type Reading, readingsToTake } from '../../../../core/check-in/readings.ts';
import { configuration } from '../../../../core/standards/configurations.ts';
import type { ShiftAdapter, ShiftDocument, ShiftStay } from '../../../check-ins/shift-document.ts';
import { boatOf, outletsOf } from './facts.ts';

/** A check-in while it is being entered; kept on the phone with every tap. */
export interface Draft {
  readonly outletIds: readonly string[];
  readonly adapters: readonly ShiftAdapter[];
  readonly inlets: readonly InletAsFound[];
  readonly cords: readonly CordDraft[];
  readonly frequenciesHz: readonly number[] | null;
  /** Null: not looked at. Nothing is filled in: only what somebody has seen is ticked. */
  readonly neutralBond: NeutralBond | null;
  readonly ownSupplies: readonly OwnSupply[] | null;
  readonly outlets: readonly OutletAsFound[];
  /** Fittings that are not good, or not looked at; all others are ticked. */
  readonly looks: readonly FittingLook[];
  /** By `outlet name contact`: what is typed, and the reason where it is not measured. */
  readonly typed: Readonly<Record<string, { readonly value: string; readonly because: string }>>;
  readonly loadsOn: boolean;
  readonly energised: boolean | null;
  readonly heldBecause: string;
  readonly note: string;
}

export interface CordDraft {
  readonly configurationId: string;
  readonly ratedA: number;
  readonly lengthM: number;
}

/** What was told, to be looked at: a plug that is told for certain is filled in, one that is not has to be chosen. */
export function firstDraft(shift: ShiftDocument, stay: ShiftStay): Draft {
  const boat = boatOf(stay);
  const { place } = stay;
  const planned = place?.plannedOutletIds ?? [];
  const inlets = boat.inlets
    .filter(({ duty }) => duty?.value !== 'notPower')
    .map(({ id, configurationIds }) => {
      const only = configurationIds?.value.length === 1 ? configurationIds.value[0] : undefined;
      return inletDraft(id, only ?? null);
    });
  const shown = inlets.length > 0 ? inlets : [inletDraft('I1', null)];
  return {
    outletIds: planned.length > 0 ? planned : (place?.keptOutletIds ?? []).slice(0, 1),
    adapters: place?.plannedAdapters.filter((each) => isAtHand(shift, stay, each)) ?? [],
    inlets: shown,
    cords: shown.flatMap(({ configurationId }) => (configurationId === null ? [] : [cordFor(stay, configurationId)])),
    frequenciesHz: null,
    neutralBond: null,
    ownSupplies: null,
    outlets: [],
    looks: [],
    typed: {},
    loadsOn: true,
    energised: null,
    heldBecause: '',
    note: '',
  };
}

function inletDraft(id: string, configurationId: string | null): InletAsFound {
  return { id, configurationId, mainBreakerA: null, duty: null, needsLineToLine: null };
}

function isAtHand(shift: ShiftDocument, { stayId }: ShiftStay, { from, stockId }: ShiftAdapter): boolean {
  if (from === 'aboard') return true;
  const stock = shift.stock.find(({ id }) => id === stockId);
  return stock !== undefined && (stock.free > 0 || stock.reservedFor.some((each) => each.stayId === stayId));
}

/** Common practice: 50 ft is the usual cord set. It is shown, and whoever looks at the cord corrects it. */
const usualCordM = 15.24;

/** The cord that was told for this inlet, or the usual one of its pattern. */
export function cordFor(stay: ShiftStay, configurationId: string): CordDraft {
  const told = boatOf(stay).cordSets?.value.find((cord) => cord.configurationId === configurationId);
  const ratedA = told?.ratedA ?? configuration(configurationId)?.ratedA ?? 30;
  return { configurationId, ratedA, lengthM: told?.lengthM ?? usualCordM };
}

export const typedKey = ({ outletId, name, contact }: Pick<Reading, 'outletId' | 'name' | 'contact'>) =>
  `${outletId} ${name} ${contact ?? ''}`;

/** The draft as core judges it and as it is sent. */
export function entryOf(shift: ShiftDocument, stay: ShiftStay, draft: Draft, at: number): CheckInEntry {
  const used = outletsOf(shift, stay).filter(({ id }) => draft.outletIds.includes(id));
  const looks = new Map(draft.looks.map((look) => [look.pointId, look]));
  return {
    at,
    outletIds: draft.outletIds,
    adapters: draft.adapters,
    boat: boatAsSeen(stay, draft),
    outlets: draft.outlets.filter(({ outletId }) => draft.outletIds.includes(outletId)),
    fittings: pointsToLookAt(draft.adapters.length > 0).map(
      ({ id }) => looks.get(id) ?? { pointId: id, seen: 'good', note: null },
    ),
    readings: used.flatMap(readingsToTake).map((asked) => {
      const typed = draft.typed[typedKey(asked)];
      const { outletId, name, contact } = asked;
      const value = numberOf(typed?.value ?? '');
      const because = typed?.because.trim() ?? '';
      return { outletId, name, contact, value, notMeasuredBecause: value === null && because !== '' ? because : null };
    }),
    heldBecause: draft.heldBecause.trim() === '' ? null : draft.heldBecause.trim(),
  };
}

function boatAsSeen(stay: ShiftStay, draft: Draft): BoatAsFound {
  const told = boatOf(stay);
  const aboard = draft.adapters.flatMap(({ kindId, from }) => (from === 'aboard' ? [kindId] : []));
  const known = told.adapterKindIds?.value ?? null;
  const isNew = aboard.some((kindId) => !(known ?? []).includes(kindId));
  return {
    inlets: draft.inlets,
    cordSets: draft.cords.map(({ configurationId, ratedA, lengthM }, position) => ({
      id: `K${position + 1}`,
      configurationId,
      ratedA,
      lengthM,
    })),
    adapterKindIds: isNew ? [...new Set([...(known ?? []), ...aboard])] : null,
    frequenciesHz: draft.frequenciesHz,
    wantsPower: null,
    neutralBond: draft.neutralBond,
    ownSupplies: draft.ownSupplies,
  };
}

/** `119,5` and `119.5`; null where it is no number. */
export function numberOf(text: string): number | null {
  const value = Number(text.trim().replace(',', '.'));
  return text.trim() === '' || !Number.isFinite(value) || value < 0 ? null : value;
}
