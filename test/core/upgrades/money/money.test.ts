import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { levelPayment, loanSchedule, yearlyPayment } from '../../../../core/upgrades/money/annuity.ts';
import { decimalOf, divideRounded, parseDecimal } from '../../../../core/upgrades/money/decimal.ts';
import { amountText, minorUnits } from '../../../../core/upgrades/money/money.ts';
import { priceStay } from '../../../../core/upgrades/money/price-stay.ts';
import type { Tariff, TariffRate } from '../../../../core/upgrades/money/tariff.ts';
import reference from '../../../reference/annuities.json' with { type: 'json' };

const { capitalRecovery, monthly } = reference;

describe(`level payments: ${capitalRecovery.source} (${capitalRecovery.mark})`, () => {
  for (const { ratePercent, years, factor } of capitalRecovery.rows) {
    it(`${ratePercent} % over ${years} years is ${factor} of the loan`, () => {
      const payment = levelPayment({ principal: 100_000n, ratePercent, years, paymentsPerYear: 1 });
      expect(amountText(payment, 'KWD').padEnd(7, '0')).toBe((Number(factor) * 100).toFixed(3).padEnd(7, '0'));
    });
  }
});

describe(`level payments: ${monthly.source} (${monthly.mark})`, () => {
  for (const { ratePercent, years, perThousand } of monthly.rows) {
    it(`${ratePercent} % over ${years} years is ${perThousand} a month for 1,000`, () => {
      const payment = levelPayment({
        principal: minorUnits('1000.00', 'USD'),
        ratePercent,
        years,
        paymentsPerYear: 12,
      });
      expect(amountText(payment, 'USD')).toBe(perThousand);
    });
  }
});

describe('loans', () => {
  it('without interest is the principal divided', () => {
    expect(yearlyPayment({ principal: 120_000n, ratePercent: '0', years: 10, paymentsPerYear: 1 })).toBe(12_000n);
  });

  it('is paid off at the end, and pays the principal and the interest, no more', () => {
    fc.assert(
      fc.property(
        fc.bigInt(1_000n, 10_000_000_00n),
        fc.integer({ min: 0, max: 1500 }),
        fc.integer({ min: 1, max: 30 }),
        fc.constantFrom(1, 12),
        (principal, hundredths, years, paymentsPerYear) => {
          const schedule = loanSchedule({
            principal,
            ratePercent: (hundredths / 100).toFixed(2),
            years,
            paymentsPerYear,
          });
          expect(schedule.at(-1)?.principalLeft).toBe(0n);
          const paid = schedule.reduce((sum, year) => sum + year.paid - year.interest, 0n);
          expect(paid).toBe(principal);
        },
      ),
    );
  });

  it('refuses a term that is none', () => {
    expect(() => levelPayment({ principal: 1n, ratePercent: '5', years: 0, paymentsPerYear: 12 })).toThrow(/no term/);
    expect(() => levelPayment({ principal: 1n, ratePercent: '-1', years: 1, paymentsPerYear: 1 })).toThrow(/below 0/);
  });
});

describe('decimals', () => {
  it('go from text to minor units and back, exactly', () => {
    fc.assert(
      fc.property(fc.bigInt(-(10n ** 15n), 10n ** 15n), fc.constantFrom('USD', 'JPY', 'KWD'), (minor, currency) => {
        expect(minorUnits(amountText(minor, currency), currency)).toBe(minor);
      }),
    );
  });

  it('round halves away from zero', () => {
    expect([divideRounded(5n, 2n), divideRounded(-5n, 2n), divideRounded(7n, 3n)]).toEqual([3n, -3n, 2n]);
  });

  it('refuse what is no decimal, and what is finer than the currency', () => {
    for (const text of ['', '1,50', '1e3', '$5', '.5', 'NaN', ' 1'])
      expect(() => parseDecimal(text)).toThrow(/decimal/);
    expect(() => minorUnits('1.005', 'USD')).toThrow(/finer/);
    expect(() => decimalOf(Number.NaN, 2)).toThrow(/no quantity/);
  });
});

const rate = (of: Partial<TariffRate> & Pick<TariffRate, 'id' | 'kind' | 'amount'>): TariffRate => ({
  label: of.id,
  season: null,
  longerThanM: null,
  upToM: null,
  outletRatedA: null,
  ...of,
});

const tariff: Tariff = {
  currency: 'USD',
  lengthCharged: 'begun',
  rates: [
    rate({ id: 'high', kind: 'perFootNight', amount: '2.75', season: { from: '05-15', until: '09-15' } }),
    rate({ id: 'low', kind: 'perFootNight', amount: '1.5', season: { from: '09-15', until: '05-15' } }),
    rate({ id: 'fifty', kind: 'perOutletNight', amount: '18', outletRatedA: 50 }),
    rate({ id: 'energy', kind: 'perKwh', amount: '0.1875' }),
    rate({ id: 'clean', kind: 'perStay', amount: '5' }),
  ],
  taxes: [
    { id: 'state', label: 'state', percent: '6.5', onRateIds: ['high', 'low'] },
    { id: 'city', label: 'city', percent: '1', onRateIds: null },
  ],
};

describe('the price of a stay', () => {
  it('adds length, outlet, energy and taxes, line by line', () => {
    // 40 ft boat (12.192 m), two nights across the change of season, one 50 A outlet, 33.4 kWh; arithmetic by hand.
    const price = priceStay(tariff, {
      nights: ['2027-09-14', '2027-09-15'],
      lengthM: 12.192,
      outlets: [{ ratedA: 50 }],
      energyKwh: 33.4,
    });
    expect(price.lines.map(({ id, quantity, amount }) => [id, quantity, amount])).toEqual([
      ['high', '40', '110.00'],
      ['low', '40', '60.00'],
      ['fifty', '2', '36.00'],
      ['energy', '33.4', '6.26'],
      ['clean', '1', '5.00'],
      ['state', '170.00', '11.05'],
      ['city', '217.26', '2.17'],
    ]);
    expect([price.beforeTax, price.tax, price.total]).toEqual(['217.26', '13.22', '230.48']);
    expect(price.notCharged).toEqual([]);
  });

  it('says what it cannot charge instead of charging nothing', () => {
    const price = priceStay(tariff, {
      nights: ['2027-07-01'],
      lengthM: null,
      outlets: [{ ratedA: 30 }],
      energyKwh: null,
    });
    expect(price.total).toBe('5.05');
    expect(price.notCharged).toHaveLength(3);
    expect(price.notCharged.join(' ')).toMatch(/length is unknown.*not measured.*No rate by the night/);
  });
});
