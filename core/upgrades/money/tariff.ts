/** What a rate is charged for. `perStay` once; the others by the night, except energy. */
export const rateKinds = ['perStay', 'perNight', 'perMetreNight', 'perFootNight', 'perOutletNight', 'perKwh'] as const;
export type RateKind = (typeof rateKinds)[number];

export interface TariffRate {
  readonly id: string;
  readonly label: string;
  readonly kind: RateKind;
  /** Decimal string, may be finer than the currency (`0.1875` per kWh). */
  readonly amount: string;
  /** Days of the year it holds on, `MM-DD`, `from` included and `until` excluded, over New Year too; null: all year. */
  readonly season: { readonly from: string; readonly until: string } | null;
  /** Only for boats longer than, and up to and with, these metres; null: no such limit. */
  readonly longerThanM: number | null;
  readonly upToM: number | null;
  /** `perOutletNight`: only for outlets of these amperes; null: every outlet. */
  readonly outletRatedA: number | null;
}

export interface Tax {
  readonly id: string;
  readonly label: string;
  /** Decimal string. */
  readonly percent: string;
  /** Rates it is charged on, by id; null: all. */
  readonly onRateIds: readonly string[] | null;
}

export interface Tariff {
  /** ISO 4217. */
  readonly currency: string;
  /** Whether lengths are charged by whole feet or metres begun, or as they are. */
  readonly lengthCharged: 'begun' | 'exact';
  /** Every rate that holds is charged: rates do not replace each other. */
  readonly rates: readonly TariffRate[];
  readonly taxes: readonly Tax[];
}
