import { boatSideOf, sideTo } from '../../core/berths/side-to.ts';
import { toldValue } from '../../core/berths/told-value.ts';
import type { InventoryIndex } from '../../core/inventory/index-inventory.ts';
import type { Orientation } from '../../core/inventory/inventory.ts';
import { adapterKind } from '../../core/standards/adapter-kinds.ts';
import { configuration } from '../../core/standards/configurations.ts';
import { type AssignmentDocument, assignmentDocument } from '../assignments/schema.ts';
import type { CheckInSettings } from '../check-ins/settings.ts';
import { outletSubject } from '../occupancy/displace.ts';
import { openQuestions } from '../stays/open-questions.ts';
import { presentPlace } from '../stays/present-place.ts';
import type { StoredStay } from '../stays/stored-stay.ts';
import type { SheetContent } from './schema.ts';

/** What a stay's sheet says now. */
export function sheetContent(
  index: InventoryIndex,
  settings: CheckInSettings,
  { row, boat, assignments }: StoredStay,
  now: number,
): SheetContent {
  const present = presentPlace(row, assignments, now);
  const assignment = present === null ? null : assignmentDocument(present);
  const needsBerth = row.needsBerth !== null;
  // What is refused, or lost with the berth, is not told: nobody is to plug in by it.
  const judged = needsBerth || assignment?.verdict === 'refused' ? null : assignment;
  const { contact, price, terms, afterHours } = settings;
  return {
    marinaName: index.inventory.name,
    timeZone: index.inventory.timeZone,
    boatName: boat.name,
    state: row.state,
    arrival: row.arrivalAt.toISOString(),
    departure: row.departureAt.toISOString(),
    place: assignment === null ? null : placeOf(index, assignment),
    needsBerth,
    verdict: assignment === null ? null : judged === null ? 'refused' : judged.verdict,
    ...powerOf(index, judged),
    together: togetherOf(boat, judged),
    questions: assignment === null ? openQuestions(boat) : questionsOf(assignment, boat.id),
    contact,
    price,
    terms,
    afterHours,
    told: {
      inlets: boat.inlets.map(({ id, configurationIds }) => {
        const told = toldValue(configurationIds);
        return { id, configurationIds: told === null ? null : [...told] };
      }),
      frequencyHz: frequencyOf(index),
      families: familiesOf(index),
    },
  };
}

function placeOf(index: InventoryIndex, { berthId, orientation }: AssignmentDocument): SheetContent['place'] {
  const berth = index.berths.get(berthId);
  const dockId = index.spaceUnits.get(berth?.unitIds[0] ?? '')?.dockId ?? '';
  return {
    berth: berth?.label ?? berthId,
    dock: index.docks.get(dockId)?.label ?? dockId,
    orientation,
    sideTo: sideTo(berth, orientation),
  };
}

function powerOf(
  index: InventoryIndex,
  assignment: AssignmentDocument | null,
): Pick<SheetContent, 'outlets' | 'adapters' | 'cords' | 'power'> {
  const power = assignment?.power ?? null;
  if (assignment === null || power === null) return { outlets: [], adapters: [], cords: [], power: [] };
  const inlets = power.connection?.inlets ?? [];
  return {
    outlets: power.outletIds.map((id) => {
      const outlet = index.outlets.get(id);
      const configurationId = outlet?.configurationId ?? '';
      return {
        label: outletSubject(index, id).label,
        configurationId,
        name: configuration(configurationId)?.name ?? configurationId,
        breakerA: outlet?.breakerA ?? null,
        side: sideOf(index, assignment.berthId, id, assignment.orientation),
      };
    }),
    adapters: (power.connection?.hookUp.adapters ?? []).map(({ kindId, from }) => {
      const kind = adapterKind(kindId) ?? index.inventory.adapterKinds.find(({ id }) => id === kindId);
      return { name: kind?.name ?? kindId, from };
    }),
    cords: inlets.map(({ inletId, configurationId }) => ({
      inletId,
      configurationId,
      lengthM: power.cords.find((cord) => cord.inletId === inletId)?.lengthM ?? null,
    })),
    power: inlets.map(({ inletId, legs, availableVa }) => ({
      inletId,
      legs: legs.map(({ lineToNeutralV, availableA }) => ({ volts: lineToNeutralV, amperes: availableA })),
      availableVa,
    })),
  };
}

/** `acrossM` is positive to the right of one who looks at the inner end from the water: starboard of a boat bow in. */
function sideOf(index: InventoryIndex, berthId: string, outletId: string, orientation: Orientation) {
  const berth = index.berths.get(berthId);
  const acrossM = berth?.reaches.find((reach) => reach.outletId === outletId)?.acrossM ?? null;
  if (acrossM === null || acrossM === 0 || berth?.faceFromM !== null) return null;
  return boatSideOf(acrossM > 0 ? 'right' : 'left', orientation);
}

/** Appliances in the order told, as long as their sum stays within what the hook-up gives. */
function togetherOf({ appliances }: StoredStay['boat'], assignment: AssignmentDocument | null) {
  const told = toldValue(appliances);
  const availableVa = assignment?.power?.connection?.availableVa ?? null;
  if (told === null || told.length === 0 || availableVa === null) return null;
  let sumVa = 0;
  const fits: string[] = [];
  const tooMuch: string[] = [];
  for (const { name, loadVa } of told) {
    if (sumVa + loadVa <= availableVa) {
      sumVa += loadVa;
      fits.push(name);
    } else tooMuch.push(name);
  }
  return { fits, tooMuch };
}

/** What its own people can answer: of the boat and its inlets. */
function questionsOf({ findings }: AssignmentDocument, boatId: string): SheetContent['questions'] {
  const questions = new Map<string, SheetContent['questions'][number]>();
  for (const { level, missingFact } of findings) {
    if (level !== 'confirm' || missingFact === undefined || missingFact.fact === 'judgement') continue;
    const { subject, question } = missingFact;
    const isOwn = (subject.kind === 'boat' && subject.id === boatId) || subject.kind === 'inlet';
    if (isOwn) questions.set(question, missingFact);
  }
  return [...questions.values()];
}

function frequencyOf(index: InventoryIndex): number | null {
  const all = new Set([...index.systemOfEquipment.values()].flatMap((system) => system?.frequencyHz ?? []));
  return all.size === 1 ? ([...all][0] ?? null) : null;
}

function familiesOf({ inventory }: InventoryIndex): SheetContent['told']['families'] {
  const own = inventory.outlets.flatMap(({ configurationId }) => configuration(configurationId) ?? []);
  return [...new Set(own.filter(({ shorePower }) => shorePower).map(({ family }) => family))];
}
