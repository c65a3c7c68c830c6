/** An exact decimal: `digits` x 10^-`scale`. No money ever passes through a float. */
export interface Decimal {
  readonly digits: bigint;
  readonly scale: number;
}

const pattern = /^-?\d{1,15}(\.\d{1,12})?$/;

/**
 * Reads `12`, `-0.5`, `1234.5678`.
 * @throws RangeError for anything else: exponents, commas, signs of currency.
 */
export function parseDecimal(text: string): Decimal {
  if (!pattern.test(text)) throw new RangeError(`"${text}" is not a decimal number such as "12.50".`);
  const [whole = '', fraction = ''] = text.split('.');
  return { digits: BigInt(whole + fraction), scale: fraction.length };
}

/** A measured quantity (metres, kWh) as a decimal, rounded to `scale` places: money begins here, floats end. */
export function decimalOf(quantity: number, scale: number): Decimal {
  if (!Number.isFinite(quantity)) throw new RangeError(`${quantity} is no quantity.`);
  return parseDecimal(quantity.toFixed(scale));
}

export function multiply(a: Decimal, b: Decimal): Decimal {
  return { digits: a.digits * b.digits, scale: a.scale + b.scale };
}

/** `numerator / denominator` to the nearest whole, halves away from zero. */
export function divideRounded(numerator: bigint, denominator: bigint): bigint {
  if (denominator === 0n) throw new RangeError('Division by zero.');
  const negative = numerator < 0n !== denominator < 0n;
  const [n, d] = [numerator < 0n ? -numerator : numerator, denominator < 0n ? -denominator : denominator];
  const rounded = (2n * n + d) / (2n * d);
  return negative ? -rounded : rounded;
}

/** The decimal in units of 10^-`scale`, rounded, halves away from zero. */
export function toScale(value: Decimal, scale: number): bigint {
  return value.scale <= scale
    ? value.digits * 10n ** BigInt(scale - value.scale)
    : divideRounded(value.digits, 10n ** BigInt(value.scale - scale));
}
