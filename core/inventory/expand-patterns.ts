import { configuration } from '../standards/configurations.ts';
import type { InventoryFault } from './fault.ts';
import type { Berth, Equipment, Inventory, Outlet, Pedestal, Reach, SpaceUnit } from './inventory.ts';
import { faultsOfPattern } from './pattern-faults.ts';
import type { InventoryDocument, PatternBranchCircuit, PedestalPattern } from './patterns.ts';
import { validateInventory } from './validate.ts';

export interface ExpandedDocument {
  /** Plain items alone, those of the patterns after those of the document. */
  readonly inventory: Inventory;
  /** Faults of the patterns themselves; a pattern with one makes nothing. */
  readonly faults: readonly InventoryFault[];
  /** Where the value at a pointer into `inventory` was written: a pointer into the document, maybe into a pattern. */
  readonly writtenAt: (pointer: string) => string;
}

/** Where one made item came from: the base in the pattern, and fields that were written elsewhere in it. */
interface Origin {
  readonly base: string;
  readonly fields: Readonly<Record<string, string>>;
}

interface Made {
  readonly equipment: Equipment[];
  readonly pedestals: Pedestal[];
  readonly outlets: Outlet[];
  readonly spaceUnits: SpaceUnit[];
  readonly berths: Berth[];
  readonly origins: Map<string, Origin>;
}

/** Writes patterns out as plain items. The same document always gives the same inventory. */
export function expandPatterns(document: InventoryDocument): ExpandedDocument {
  const { patterns = [], ...plain } = document;
  const faults: InventoryFault[] = [];
  const made: Made = {
    equipment: [...plain.equipment],
    pedestals: [...plain.pedestals],
    outlets: [...plain.outlets],
    spaceUnits: [...plain.spaceUnits],
    berths: [...plain.berths],
    origins: new Map(),
  };
  patterns.forEach((pattern, i) => {
    const found = faultsOfPattern(pattern, `/patterns/${i}`);
    faults.push(...found);
    if (found.length === 0) expandPattern(pattern, `/patterns/${i}`, made);
  });
  const { origins, ...items } = made;
  return { inventory: { ...plain, ...items }, faults, writtenAt: (pointer) => writtenAt(origins, pointer) };
}

/**
 * The plain inventory of a document and every fault of it, in the writer's own terms: a fault in what a pattern made
 * points into the pattern and is told once, not forty times. Legal where `faults` is empty.
 */
export function readInventoryDocument(document: InventoryDocument): {
  readonly inventory: Inventory;
  readonly faults: readonly InventoryFault[];
} {
  const { inventory, faults, writtenAt } = expandPatterns(document);
  const told = new Map<string, InventoryFault>();
  for (const fault of [...faults, ...validateInventory(inventory)]) {
    const pointer = writtenAt(fault.pointer);
    const key = `${pointer} ${fault.rule}`;
    if (!told.has(key)) told.set(key, { ...fault, pointer });
  }
  return { inventory, faults: [...told.values()] };
}

function writtenAt(origins: ReadonlyMap<string, Origin>, pointer: string): string {
  const [, collection, index, field, ...rest] = pointer.split('/');
  const origin = origins.get(`/${collection}/${index}`);
  if (origin === undefined) return pointer;
  if (field === undefined) return origin.base;
  const elsewhere = origin.fields[field];
  if (elsewhere === undefined) return [origin.base, field, ...rest].join('/');
  return field === 'lines' ? [elsewhere, ...rest].join('/') : elsewhere;
}

function expandPattern(pattern: PedestalPattern, at: string, made: Made): void {
  const turns = pattern.outlets.map(() => 0);
  const outletsAtPedestal = pattern.outlets.reduce((sum, { count }) => sum + count, 0);
  for (let i = 0; i < pattern.count; i++) {
    const number = pattern.firstNumber + i;
    const place = { p: number, n: number, k: 1 };
    const pedestalId = named(pattern.pedestal.id, place);
    let fedById = pattern.fedById;
    if (pattern.branchCircuit !== null) {
      const circuit = branchCircuit(pattern, pattern.branchCircuit, place, i);
      made.origins.set(`/equipment/${made.equipment.length}`, {
        base: `${at}/branchCircuit`,
        fields: { parentId: `${at}/fedById` },
      });
      made.equipment.push(circuit);
      fedById = circuit.id;
    }
    made.origins.set(`/pedestals/${made.pedestals.length}`, {
      base: `${at}/pedestal`,
      fields: { dockId: `${at}/dockId`, fedById: `${at}/fedById`, alongDockM: `${at}/firstAlongM` },
    });
    made.pedestals.push({
      id: pedestalId,
      label: named(pattern.pedestal.label, place),
      dockId: pattern.dockId,
      fedById,
      alongDockM: toMillimetre(pattern.firstAlongM + i * pattern.spacingM),
    });

    const reached: string[] = [];
    let k = 0;
    pattern.outlets.forEach((wanted, j) => {
      for (let copy = 0; copy < wanted.count; copy++) {
        k += 1;
        const turn = turns[j] ?? 0;
        turns[j] = turn + 1;
        const outletPlace = { p: number, n: i * outletsAtPedestal + k, k };
        const id = named(wanted.id, outletPlace);
        const lineTurn = wanted.lineTurns === null ? 0 : turn % wanted.lineTurns.length;
        made.origins.set(`/outlets/${made.outlets.length}`, {
          base: `${at}/outlets/${j}`,
          fields: { pedestalId: `${at}/pedestal/id`, lines: `${at}/outlets/${j}/lineTurns/${lineTurn}` },
        });
        made.outlets.push({
          id,
          label: named(wanted.label, outletPlace),
          pedestalId,
          fedById: null,
          configurationId: wanted.configurationId,
          lines: wanted.lineTurns?.[lineTurn] ?? null,
          breakerA: wanted.breakerA,
          groundFault: wanted.groundFault,
          dedicatedBerthId: null,
          subMetered: wanted.subMetered,
          heightM: wanted.heightM,
        });
        if (configuration(wanted.configurationId)?.shorePower !== false) reached.push(id);
      }
    });
    addBerths(pattern, at, i, reached, made);
  }
}

function branchCircuit(pattern: PedestalPattern, wanted: PatternBranchCircuit, place: Place, index: number): Equipment {
  const { conductor } = wanted;
  const lengthM = conductor?.lengthM ?? null;
  return {
    id: named(wanted.id, place),
    label: named(wanted.label, place),
    kind: 'branchCircuit',
    parentId: pattern.fedById,
    systemId: null,
    lines: null,
    breakerA: wanted.breakerA,
    conductorAmpacityA: wanted.conductorAmpacityA,
    neutralAmpacityA: wanted.neutralAmpacityA,
    busA: null,
    conductor: conductor && {
      ...conductor,
      lengthM: lengthM === null ? null : toMillimetre(lengthM + index * pattern.spacingM),
    },
    transformer: null,
    groundFault: wanted.groundFault,
    otherLoads: [],
    earthing: null,
  };
}

function addBerths(pattern: PedestalPattern, at: string, index: number, reached: readonly string[], made: Made): void {
  pattern.berths.forEach((wanted, j) => {
    const place = {
      p: pattern.firstNumber + index,
      n: pattern.firstBerthNumber + index * pattern.berths.length + j,
      k: j + 1,
    };
    const id = named(wanted.id, place);
    const label = named(wanted.label, place);
    const base = `${at}/berths/${j}`;
    made.origins.set(`/spaceUnits/${made.spaceUnits.length}`, { base, fields: { dockId: `${at}/dockId` } });
    made.spaceUnits.push({ id, label, dockId: pattern.dockId, kind: 'slip', faceLengthM: null });
    const { reach } = wanted;
    const reaches: Reach[] = reach === null ? [] : reached.map((outletId) => ({ outletId, ...reach }));
    made.origins.set(`/berths/${made.berths.length}`, {
      base,
      fields: { unitIds: `${base}/id`, reaches: `${base}/reach` },
    });
    made.berths.push({
      id,
      label,
      unitIds: [id],
      faceFromM: null,
      faceUntilM: null,
      mooring: wanted.mooring,
      fingerOn: wanted.fingerOn,
      lengthM: wanted.lengthM,
      beamM: wanted.beamM,
      depthM: wanted.depthM,
      orientations: wanted.orientations,
      reaches,
    });
  });
}

/** Keeps 3.3000000000000003 out of documents that people read. */
function toMillimetre(valueM: number): number {
  return Math.round(valueM * 1000) / 1000;
}

interface Place {
  readonly p: number;
  readonly n: number;
  readonly k: number;
}

function named(template: string, place: Place): string {
  return template.replace(/\{([pnka])\}/g, (_, key: string) => {
    if (key === 'p') return `${place.p}`;
    if (key === 'n') return `${place.n}`;
    return key === 'k' ? `${place.k}` : String.fromCharCode(64 + place.k);
  });
}
