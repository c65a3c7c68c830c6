import type { z } from 'zod';
import type { Equipment, Inventory, Outlet } from '../core/inventory/inventory.ts';
import type { StudyChange } from '../core/upgrades/studies/study.ts';
import type { tariffSchema } from '../server/studies/schema.ts';

/** What a night costs at the invented marina. */
export const demoTariff: z.input<typeof tariffSchema> = {
  currency: 'USD',
  lengthCharged: 'begun',
  rates: [
    {
      id: 'summer',
      label: 'Summer, by the foot',
      kind: 'perFootNight',
      amount: '2.75',
      season: { from: '05-15', until: '10-01' },
    },
    {
      id: 'winter',
      label: 'Rest of the year, by the foot',
      kind: 'perFootNight',
      amount: '1.60',
      season: { from: '10-01', until: '05-15' },
    },
    { id: 'power-50', label: 'Shore power, 50 A', kind: 'perOutletNight', amount: '18', outletRatedA: 50 },
    { id: 'power-30', label: 'Shore power, 30 A', kind: 'perOutletNight', amount: '10', outletRatedA: 30 },
  ],
  taxes: [{ id: 'state', label: 'State tax', percent: '6.5' }],
};

export const demoStudySettings = {
  currency: 'USD',
  edition: '2020',
  loan: { ratePercent: '6.5', years: 15, paymentsPerYear: 12 },
} as const;

/** Dock A, whose last feeder is tight in season and whose outlets are of 30 A: what could be done about it. */
export function demoStudyChanges({ equipment, outlets, pedestals }: Inventory): StudyChange[] {
  const part = (id: string, given: Partial<Equipment>) => {
    const found = equipment.find((known) => known.id === id);
    if (found === undefined) throw new Error(`the demo marina has no part ${id}`);
    return { collection: 'equipment' as const, id, item: { ...found, ...given } };
  };
  const onFeeder = new Set(pedestals.filter(({ fedById }) => fedById === 'A3').map(({ id }) => id));
  const fiftyInPlaceOf = (outlet: Outlet) => ({
    collection: 'outlets' as const,
    id: outlet.id,
    item: { ...outlet, configurationId: 'SS2-50', breakerA: 50, lines: ['L1', 'L2'] as const },
  });
  const first = outlets.filter(({ pedestalId, id }) => onFeeder.has(pedestalId) && id.endsWith('A')).slice(-4);
  return [
    {
      id: 'feeder-a3',
      label: 'Feeder A3 of 600 A',
      items: [
        part('A3', {
          breakerA: 600,
          conductorAmpacityA: 620,
          neutralAmpacityA: 620,
          conductor: { material: 'copper', size: '350', sizeUnit: 'kcmil', parallelSets: 2, lengthM: 105 },
        }),
      ],
      cost: '58500',
      lifeYears: 30,
      outOfServiceDays: 12,
      suppliedBy: 'offer of an electrical contractor, invented',
      requires: [],
    },
    {
      id: 'transformer-a',
      label: 'Transformer A of 250 kVA',
      items: [
        part('T-A', { transformer: { ratedKva: 250, connection: 'centreTapped', percentR: 1.2, percentX: 2.8 } }),
        part('FT-A', {
          breakerA: 500,
          conductorAmpacityA: 510,
          conductor: { material: 'copper', size: '250', sizeUnit: 'kcmil', parallelSets: 2, lengthM: 25 },
        }),
        part('P-A', { breakerA: 1200, busA: 1200 }),
      ],
      cost: '71800',
      lifeYears: 30,
      outOfServiceDays: 5,
      suppliedBy: 'offer of an electrical contractor, invented',
      requires: [],
    },
    {
      id: 'fifties-a3',
      label: '50 A outlets on the four outer pedestals of dock A',
      items: first.map(fiftyInPlaceOf),
      cost: '17400',
      lifeYears: 20,
      outOfServiceDays: 8,
      suppliedBy: "price list of a pedestal maker, invented, and the marina's own estimate of the work",
      requires: ['feeder-a3', 'transformer-a'],
    },
    {
      id: 'device-c2',
      label: 'Breaker with ground-fault device for feeder C2',
      items: [part('C2', { breakerA: 800, groundFault: { device: 'fitted', settingMa: 100, delayMs: 200 } })],
      cost: '6200',
      lifeYears: 20,
      outOfServiceDays: 1,
      suppliedBy: "the marina's own estimate, invented",
      requires: [],
    },
  ];
}
