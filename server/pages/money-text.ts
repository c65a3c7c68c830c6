/** An amount as people read it: `82,000.50 USD`. */
export function moneyText(amount: string, currency: string): string {
  const [whole = '', ...fraction] = amount.replace('-', '−').split('.');
  return `${[whole.replaceAll(/\B(?=(\d{3})+$)/g, ','), ...fraction].join('.')} ${currency}`;
}
