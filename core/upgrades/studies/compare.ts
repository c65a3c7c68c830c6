import type { DemandOfPart } from '../../electrical/demand/demand-of-part.ts';
import { designDemand } from '../../electrical/demand/design-demand.ts';
import { loadModel } from '../../electrical/demand/load-model.ts';
import { tripShare, unreadBoatMa } from '../../electrical/leakage/limits.ts';
import { marinaFlow, type OutletFlow } from '../../electrical/network/marina-flow.ts';
import type { EditionId } from '../../electrical/sizing/review/editions.ts';
import { reviewInventory } from '../../electrical/sizing/review/review.ts';
import { sizeConductor } from '../../electrical/sizing/size-conductor.ts';
import type { Sizing } from '../../electrical/sizing/sizing.ts';
import type { Finding } from '../../findings.ts';
import type { InventoryIndex } from '../../inventory/index-inventory.ts';
import type { Equipment } from '../../inventory/inventory.ts';
import { configuration } from '../../standards/configurations.ts';
import type { DemandPractice } from '../../standards/demand-practice.ts';

/** What one inventory comes to, part by part. */
export interface Standing {
  readonly parts: readonly PartStanding[];
  readonly worstVolts: { readonly outletId: string; readonly between: string; readonly share: number } | null;
  /** The lowest volts of each shore-power outlet at that hour; null where it could not be assessed. */
  readonly volts: readonly OutletVolts[];
  readonly review: readonly Finding[];
  readonly leakage: readonly DeviceStanding[];
  readonly assumptions: readonly string[];
}

export interface OutletVolts {
  readonly outletId: string;
  readonly label: string;
  /** `L1-N`, `L1-L2`: the pair that is lowest for its nominal volts. */
  readonly between: string | null;
  readonly voltageV: number | null;
  readonly nominalV: number | null;
  /** `atBest`: load of the same service is missing in the solve, so that volts may be lower. */
  readonly assessment: OutletFlow['assessment'];
}

export interface PartStanding {
  readonly demand: DemandOfPart;
  /** Conductor and breaker that the demand takes; null for parts without a conductor of their own. */
  readonly sizing: Sizing | null;
}

/** One ground-fault device above outlets, with every outlet below it in use by a boat that leaks as much as is usual. */
export interface DeviceStanding {
  readonly equipmentId: string;
  readonly label: string;
  readonly settingMa: number | null;
  readonly boats: number;
  readonly expectedMa: number;
  readonly assessment: 'within' | 'mayTrip' | 'over' | 'notAssessed';
}

export interface StudyComparison {
  readonly before: Standing;
  readonly after: Standing;
  readonly mended: readonly Finding[];
  readonly remaining: readonly Finding[];
  /** Findings that were not there before. */
  readonly added: readonly Finding[];
  /** What the edition asks of things that the changes touch, to be confirmed by the authority. */
  readonly obliged: readonly Finding[];
}

export interface StudyBasis {
  readonly practice: DemandPractice;
  readonly edition: EditionId;
}

/** Both inventories by the same practice and edition. `touched` are ids of what the changes put in place. */
export function compareStanding(
  before: InventoryIndex,
  after: InventoryIndex,
  basis: StudyBasis,
  touched: ReadonlySet<string>,
): StudyComparison {
  const was = standingOf(before, basis);
  const is = standingOf(after, basis);
  const key = ({ rule, subject, level }: Finding) => `${rule} ${subject.kind} ${subject.id} ${level}`;
  const had = new Set(was.review.map(key));
  const has = new Set(is.review.map(key));
  return {
    before: was,
    after: is,
    mended: was.review.filter((finding) => !has.has(key(finding))),
    remaining: is.review.filter((finding) => had.has(key(finding))),
    added: is.review.filter((finding) => !had.has(key(finding))),
    obliged: is.review.filter((finding) => finding.level !== 'note' && isTouched(after, finding.subject.id, touched)),
  };
}

function standingOf(index: InventoryIndex, { practice, edition }: StudyBasis): Standing {
  const demands = designDemand(index, practice);
  const byId = new Map(demands.map((demand) => [demand.equipmentId, demand]));
  const shares = new Map<string, number>();
  for (const part of index.inventory.equipment) {
    const demand = byId.get(part.id);
    if (part.parentId === null && demand !== undefined) shares.set(part.id, demand.appliedFactor?.factor ?? 1);
  }
  const flow = marinaFlow(
    index,
    index.inventory.outlets
      .filter(({ configurationId }) => configuration(configurationId)?.shorePower ?? false)
      .map(({ id }) => {
        const service = index.pathOfOutlet.get(id)?.at(-1);
        return { outletId: id, demand: { basis: 'rated' as const, share: shares.get(service?.id ?? '') ?? 1 } };
      }),
  );
  return {
    parts: demands.map((demand) => ({ demand, sizing: sizingOf(index, demand) })),
    worstVolts: flow.worst,
    volts: flow.outlets.flatMap((outlet) => voltsOf(index, outlet)),
    review: reviewInventory(index, edition).rules.flatMap(({ findings }) => findings),
    leakage: index.inventory.equipment.flatMap((part) =>
      part.groundFault.device === 'none' ? [] : [deviceOf(index, part)],
    ),
    assumptions: [
      'The worst hour for volts: every shore-power outlet at once, at its rating times the demand factor of its service.',
      'Conductors are sized at 75 C insulation in PVC conduit; terminals, ambient and bundling as far as nobody states them are at the cautious side.',
      `Leakage: one boat on each outlet at ${unreadBoatMa} mA, the upper end of usual boats.`,
      ...flow.assumptions,
    ],
  };
}

function voltsOf(index: InventoryIndex, { outletId, volts, assessment }: OutletFlow): OutletVolts[] {
  const outlet = index.outlets.get(outletId);
  if (outlet === undefined || !(configuration(outlet.configurationId)?.shorePower ?? false)) return [];
  const lowest = volts.reduce<OutletFlow['volts'][number] | null>(
    (low, pair) => (low === null || pair.voltageV / pair.nominalV < low.voltageV / low.nominalV ? pair : low),
    null,
  );
  const { between = null, voltageV = null, nominalV = null } = lowest ?? {};
  return [{ outletId, label: outlet.label, between, voltageV, nominalV, assessment }];
}

function sizingOf(index: InventoryIndex, demand: DemandOfPart): Sizing | null {
  const part = index.equipment.get(demand.equipmentId);
  if (part === undefined || part.conductor === null) return null;
  const phasors = loadModel(index).phasors(part);
  const amperes = Object.values(demand.lineA);
  if (phasors === null || amperes.length === 0) return null;
  const volts = [0, 1, 2, 3, 4, 5].map((channel) => phasors.channelV[channel] ?? 0);
  const { material, lengthM } = part.conductor;
  return sizeConductor({
    subject: { kind: 'equipment', id: part.id, label: part.label },
    loadA: Math.max(...amperes),
    continuousA: 0,
    neutralA: phasors.system.hasNeutral ? null : 0,
    voltageV: Math.max(...volts),
    phases: phasors.lines.length === 3 ? 3 : 1,
    powerFactor: 0.85,
    lengthM,
    material,
    wiring: 'raceway',
    conduit: 'pvc',
    insulationC: 75,
    terminalsC: null,
    ambientC: null,
    currentCarrying: null,
    conductorC: 75,
    maxDropPercent: null,
    mostParallelSets: 4,
    given: null,
  });
}

function deviceOf(index: InventoryIndex, part: Equipment): DeviceStanding {
  const boats = (index.outletsBelow.get(part.id) ?? []).length;
  const expectedMa = boats * unreadBoatMa;
  const { settingMa } = part.groundFault;
  const assessment =
    part.groundFault.device === 'unknown' || settingMa === null
      ? 'notAssessed'
      : expectedMa >= settingMa
        ? 'over'
        : expectedMa > tripShare * settingMa
          ? 'mayTrip'
          : 'within';
  return { equipmentId: part.id, label: part.label, settingMa, boats, expectedMa, assessment };
}

/** Whether a thing was put in place itself, or stands on a pedestal or a part that was. */
function isTouched(index: InventoryIndex, id: string, touched: ReadonlySet<string>): boolean {
  if (touched.has(id)) return true;
  const outlet = index.outlets.get(id);
  return outlet !== undefined && touched.has(outlet.pedestalId);
}
