import { type Decimal, decimalOf, multiply, parseDecimal, toScale } from './decimal.ts';
import { amountText, currencyDecimals } from './money.ts';
import type { Tariff, TariffRate } from './tariff.ts';

export interface StayToPrice {
  /** Local days whose night is charged, `YYYY-MM-DD`. */
  readonly nights: readonly string[];
  readonly lengthM: number | null;
  readonly outlets: readonly { readonly ratedA: number }[];
  /** Energy taken; null: not measured. */
  readonly energyKwh: number | null;
}

export interface PriceLine {
  readonly id: string;
  readonly label: string;
  readonly kind: TariffRate['kind'] | 'tax';
  /** Decimal strings; of a tax, the amount taxed and the percent. */
  readonly quantity: string;
  readonly rate: string;
  readonly amount: string;
}

export interface Price {
  readonly currency: string;
  readonly lines: readonly PriceLine[];
  readonly beforeTax: string;
  readonly tax: string;
  readonly total: string;
  /** Total in minor units, to sum. */
  readonly totalMinor: bigint;
  readonly beforeTaxMinor: bigint;
  /** What could not be charged because a fact is missing. */
  readonly notCharged: readonly string[];
}

const metresPerFoot = 0.3048;

/**
 * What a stay costs, line by line. Each line is rounded once to the currency, halves up; taxes are taken on the rounded
 * lines together and rounded once each.
 * @throws RangeError where an amount or a percentage of the tariff is no decimal.
 */
export function priceStay(tariff: Tariff, stay: StayToPrice): Price {
  const { currency } = tariff;
  const decimals = currencyDecimals(currency);
  const notCharged: string[] = [];
  const lines: (PriceLine & { readonly minor: bigint })[] = [];
  const chargedNights = new Set<string>();
  for (const rate of tariff.rates) {
    const nights = stay.nights.filter((night) => holdsOn(rate, night));
    if (stay.nights.length > 0 && nights.length === 0) continue;
    const quantity = quantityOf(tariff, rate, stay, nights);
    if (typeof quantity === 'string') {
      notCharged.push(quantity);
      continue;
    }
    if (quantity.digits === 0n) continue;
    for (const night of nights) if (rate.kind !== 'perKwh' && rate.kind !== 'perStay') chargedNights.add(night);
    const minor = toScale(multiply(quantity, parseDecimal(rate.amount)), decimals);
    lines.push({
      id: rate.id,
      label: rate.label,
      kind: rate.kind,
      quantity: decimalText(quantity),
      rate: rate.amount,
      amount: amountText(minor, currency),
      minor,
    });
  }
  const unpriced = stay.nights.filter((night) => !chargedNights.has(night));
  if (unpriced.length > 0)
    notCharged.push(
      `No rate by the night holds on ${unpriced.length} of ${stay.nights.length} nights, first ${unpriced[0]}.`,
    );
  const beforeTaxMinor = lines.reduce((sum, { minor }) => sum + minor, 0n);
  let taxMinor = 0n;
  const taxLines = tariff.taxes.map(({ id, label, percent, onRateIds }): PriceLine => {
    const taxed = lines.reduce(
      (sum, line) => (onRateIds === null || onRateIds.includes(line.id) ? sum + line.minor : sum),
      0n,
    );
    const rate = parseDecimal(percent);
    const minor = toScale({ digits: taxed * rate.digits, scale: rate.scale + 2 }, 0);
    taxMinor += minor;
    return {
      id,
      label,
      kind: 'tax',
      quantity: amountText(taxed, currency),
      rate: percent,
      amount: amountText(minor, currency),
    };
  });
  const totalMinor = beforeTaxMinor + taxMinor;
  return {
    currency,
    lines: [...lines.map(({ minor: _, ...line }) => line), ...taxLines],
    beforeTax: amountText(beforeTaxMinor, currency),
    tax: amountText(taxMinor, currency),
    total: amountText(totalMinor, currency),
    totalMinor,
    beforeTaxMinor,
    notCharged,
  };
}

/** The quantity charged, or in words why it is unknown. */
function quantityOf(tariff: Tariff, rate: TariffRate, stay: StayToPrice, nights: readonly string[]): Decimal | string {
  const none: Decimal = { digits: 0n, scale: 0 };
  const needsLength =
    rate.kind === 'perMetreNight' || rate.kind === 'perFootNight' || rate.longerThanM !== null || rate.upToM !== null;
  if (needsLength && stay.lengthM === null) return `"${rate.label}" is not charged: the boat's length is unknown.`;
  const lengthM = stay.lengthM ?? 0;
  if (rate.longerThanM !== null && lengthM <= rate.longerThanM) return none;
  if (rate.upToM !== null && lengthM > rate.upToM) return none;
  const count: Decimal = { digits: BigInt(nights.length), scale: 0 };
  switch (rate.kind) {
    case 'perStay':
      return { digits: 1n, scale: 0 };
    case 'perNight':
      return count;
    case 'perMetreNight':
      return multiply(count, lengthCharged(tariff, lengthM));
    case 'perFootNight':
      return multiply(count, lengthCharged(tariff, lengthM / metresPerFoot));
    case 'perOutletNight': {
      const outlets = stay.outlets.filter(({ ratedA }) => rate.outletRatedA === null || ratedA === rate.outletRatedA);
      return multiply(count, { digits: BigInt(outlets.length), scale: 0 });
    }
    case 'perKwh':
      if (stay.outlets.length === 0) return none;
      return stay.energyKwh === null
        ? `"${rate.label}" is not charged: the energy of the stay was not measured.`
        : decimalOf(stay.energyKwh, 3);
  }
}

/** A length that is whole but for the conversion of feet is whole. */
function lengthCharged({ lengthCharged }: Tariff, length: number): Decimal {
  return lengthCharged === 'begun' ? decimalOf(Math.ceil(length - 1e-6), 0) : decimalOf(length, 2);
}

function holdsOn({ season }: TariffRate, night: string): boolean {
  if (season === null) return true;
  const day = night.slice(5);
  const { from, until } = season;
  return from < until ? from <= day && day < until : day >= from || day < until;
}

function decimalText({ digits, scale }: Decimal): string {
  if (scale === 0) return digits.toString();
  const text = digits.toString().padStart(scale + 1, '0');
  return `${text.slice(0, -scale)}.${text.slice(-scale)}`.replace(/\.?0+$/, '');
}
