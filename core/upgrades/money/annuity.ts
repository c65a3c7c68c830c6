import { divideRounded, parseDecimal } from './decimal.ts';

export interface Loan {
  /** Minor units. */
  readonly principal: bigint;
  /** Nominal yearly rate in percent, a decimal string: `6.25`. */
  readonly ratePercent: string;
  readonly years: number;
  /** Payments a year, at the end of each period: 1 or 12. */
  readonly paymentsPerYear: number;
}

/**
 * The level payment of a loan, minor units: P i / (1 - (1 + i)^-n), in exact fractions and rounded once, halves up.
 * A rate of 0 divides the principal by the number of payments.
 * @throws RangeError for a term or a rate that is none.
 */
export function levelPayment({ principal, ratePercent, years, paymentsPerYear }: Loan): bigint {
  const payments = years * paymentsPerYear;
  if (!Number.isInteger(payments) || payments < 1 || payments > 1200)
    throw new RangeError(
      `${years} years with ${paymentsPerYear} payments each are no term. Give 1 to 1200 whole payments.`,
    );
  const rate = parseDecimal(ratePercent);
  if (rate.digits < 0n) throw new RangeError(`A rate of ${ratePercent} % is below 0.`);
  if (rate.digits === 0n) return divideRounded(principal, BigInt(payments));
  // i = a / b
  const a = rate.digits;
  const b = 100n * 10n ** BigInt(rate.scale) * BigInt(paymentsPerYear);
  const n = BigInt(payments);
  const grown = (a + b) ** n;
  return divideRounded(principal * a * grown, b * (grown - b ** n));
}

/** What all payments of a year come to, minor units. */
export function yearlyPayment(loan: Loan): bigint {
  return levelPayment(loan) * BigInt(loan.paymentsPerYear);
}

export interface LoanYear {
  readonly year: number;
  readonly paid: bigint;
  readonly interest: bigint;
  readonly principalLeft: bigint;
}

/** The schedule by years: interest rounded each period, the last payment takes what is left. */
export function loanSchedule(loan: Loan): LoanYear[] {
  const payment = levelPayment(loan);
  const rate = parseDecimal(loan.ratePercent);
  const perPeriod = 100n * 10n ** BigInt(rate.scale) * BigInt(loan.paymentsPerYear);
  let left = loan.principal;
  const years: LoanYear[] = [];
  for (let year = 1; year <= loan.years; year++) {
    let paid = 0n;
    let interest = 0n;
    for (let period = 1; period <= loan.paymentsPerYear; period++) {
      const due = divideRounded(left * rate.digits, perPeriod);
      const isLast = year === loan.years && period === loan.paymentsPerYear;
      const amount = isLast || payment > left + due ? left + due : payment;
      left = left + due - amount;
      paid += amount;
      interest += due;
    }
    years.push({ year, paid, interest, principalLeft: left });
  }
  return years;
}
