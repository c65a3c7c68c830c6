import { adapterKind } from '../../standards/adapter-kinds.ts';
import { configuration } from '../../standards/configurations.ts';
import { citation, type Source } from '../../standards/source.ts';
import type { InventoryIndex } from '../index-inventory.ts';
import type { Berth } from '../inventory.ts';
import { berthSubject, checkEach, type InventoryCheck, judgement, missing, pedestalSubject } from './check.ts';

const shorePower: Source = { title: 'NEC 555.33 (2020 on): shore power is at least 30 A', fromMemory: false };

const all = ({ inventory }: InventoryIndex): readonly Berth[] => inventory.berths;

const noShorePower = checkEach(
  'outlet.noShorePower',
  'berths whose reach lists 15 or 20 A outlets, which are no shore power',
  citation(shorePower),
  all,
  (berth, { outlets }) => {
    const listed = berth.reaches.flatMap(({ outletId }) => {
      const outlet = outlets.get(outletId);
      return outlet && configuration(outlet.configurationId)?.shorePower === false ? [outlet] : [];
    });
    const [first] = listed;
    if (first === undefined) return null;
    const ids = listed.map((outlet) => `${outlet.id} (${outlet.configurationId})`).join(', ');
    return {
      level: 'caution',
      subject: berthSubject(berth),
      actual: first.configurationId,
      message: `Berth ${berth.label} lists ${ids} among its outlets: general-purpose outlets are no shore power. Take them off its list.`,
    };
  },
);

const noOutlet = checkEach('reach.noOutlet', 'berths that reach no outlet', judgement, all, (berth) =>
  berth.reaches.length > 0
    ? null
    : {
        level: 'note',
        subject: berthSubject(berth),
        actual: 0,
        message: `Berth ${berth.label} reaches no outlet: only boats that want no power can lie there. Enter its outlets if it has any.`,
      },
);

const positionUnknown = checkEach(
  'reach.positionUnknown',
  'berths that reach an outlet of unknown position',
  judgement,
  all,
  (berth) => {
    const index = berth.reaches.findIndex(({ alongM, acrossM }) => alongM === null || acrossM === null);
    const reach = berth.reaches[index];
    if (reach === undefined) return null;
    const fact = `reaches.${index}.${reach.alongM === null ? 'alongM' : 'acrossM'}`;
    return missing(
      berthSubject(berth),
      fact,
      `Where does outlet ${reach.outletId} stand, as seen from berth ${berth.label}?`,
      `The position of outlet ${reach.outletId} at berth ${berth.label} is unknown: no cord length can be told. Measure it and enter it.`,
    );
  },
);

const dimensions = [
  { rule: 'fit.lengthUnknown', fact: 'lengthM', word: 'length', lack: 'how long a boat fits' },
  { rule: 'fit.beamUnknown', fact: 'beamM', word: 'width', lack: 'how wide a boat fits' },
  { rule: 'fit.depthUnknown', fact: 'depthM', word: 'depth at chart datum', lack: 'what draft fits' },
] as const;

const dimensionChecks = dimensions.map(({ rule, fact, word, lack }) =>
  checkEach(rule, `berths whose ${word} nobody has stated`, judgement, all, (berth) => {
    // A face berth's length is its metre range.
    if (berth[fact] !== null || (fact === 'lengthM' && berth.faceUntilM !== null)) return null;
    return missing(
      berthSubject(berth),
      fact,
      `What is the ${word} of berth ${berth.label}, in metres?`,
      `The ${word} of berth ${berth.label} is unknown, and with it ${lack}. Measure it and enter it.`,
    );
  }),
);

const pedestalPosition = checkEach(
  'reach.pedestalPositionUnknown',
  'pedestals whose distance from shore nobody has stated',
  judgement,
  ({ inventory }) => inventory.pedestals,
  (pedestal) =>
    pedestal.alongDockM !== null
      ? null
      : missing(
          pedestalSubject(pedestal),
          'alongDockM',
          `How far is pedestal ${pedestal.label} from the shore end of its dock, in metres?`,
          `The position of pedestal ${pedestal.label} is unknown: it cannot be drawn, nor its conductor's length checked. Measure it and enter it.`,
        ),
);

const idleStock = checkEach(
  'stock.noUse',
  'adapters in stock whose plugs no outlet of the marina takes',
  judgement,
  ({ inventory }) => inventory.adapterStock,
  (stock, { inventory }) => {
    const own = inventory.adapterKinds.find((found) => found.id === stock.adapterKindId);
    const kind = own ?? adapterKind(stock.adapterKindId);
    const present = new Set(inventory.outlets.map((outlet) => outlet.configurationId));
    const absent = kind?.plugs.find((plug) => !present.has(plug.configurationId));
    if (absent === undefined) return null;
    return {
      level: 'note',
      subject: { kind: 'adapter', id: stock.id, label: stock.label },
      actual: absent.configurationId,
      message: `The adapter "${stock.label}" plugs into ${absent.configurationId}, and no outlet here is of that kind: it can serve only behind another adapter. Check its kind.`,
    };
  },
);

export const berthChecks: readonly InventoryCheck[] = [
  noShorePower,
  noOutlet,
  positionUnknown,
  ...dimensionChecks,
  pedestalPosition,
  idleStock,
];
