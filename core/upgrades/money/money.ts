import { parseDecimal, toScale } from './decimal.ts';

/** Decimals of currencies that do not have two (ISO 4217). */
const otherDecimals: Readonly<Record<string, number>> = {
  BHD: 3,
  CLP: 0,
  IQD: 3,
  ISK: 0,
  JOD: 3,
  JPY: 0,
  KRW: 0,
  KWD: 3,
  LYD: 3,
  OMR: 3,
  PYG: 0,
  RWF: 0,
  TND: 3,
  UGX: 0,
  UYI: 0,
  VND: 0,
  VUV: 0,
  XAF: 0,
  XOF: 0,
  XPF: 0,
  BIF: 0,
  DJF: 0,
  GNF: 0,
  KMF: 0,
};

export function currencyDecimals(currency: string): number {
  return otherDecimals[currency] ?? 2;
}

/**
 * An amount as a decimal string in whole minor units (cents).
 * @throws RangeError where it is no decimal, or finer than the currency.
 */
export function minorUnits(amount: string, currency: string): bigint {
  const value = parseDecimal(amount);
  const decimals = currencyDecimals(currency);
  const minor = toScale(value, decimals);
  if (
    minor * 10n ** BigInt(Math.max(0, value.scale - decimals)) !==
    value.digits * 10n ** BigInt(Math.max(0, decimals - value.scale))
  )
    throw new RangeError(`${amount} ${currency} is finer than the currency, which has ${decimals} decimals.`);
  return minor;
}

/** Minor units as the API's decimal string. */
export function amountText(minor: bigint, currency: string): string {
  const decimals = currencyDecimals(currency);
  const sign = minor < 0n ? '-' : '';
  const digits = (minor < 0n ? -minor : minor).toString().padStart(decimals + 1, '0');
  return decimals === 0 ? sign + digits : `${sign}${digits.slice(0, -decimals)}.${digits.slice(-decimals)}`;
}
