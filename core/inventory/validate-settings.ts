import { demandPractice } from '../standards/demand-practices.ts';
import { reportQuantity } from './fault.ts';
import type { Validation } from './validation.ts';

export function validateSettings(validation: Validation): void {
  const { report, inventory } = validation;
  const { settings } = inventory;
  const at = '/settings';
  const { practiceId } = settings;
  if (demandPractice(practiceId) === null && !inventory.practices.some((practice) => practice.id === practiceId)) {
    report(
      `${at}/practiceId`,
      'unknownReference',
      `The demand practice "${practiceId}" is neither built in nor one of this marina's own: correct the id or add the practice.`,
    );
  }
  const notNegative = [
    ['overhangAllowedM', 'm'],
    ['beamClearanceM', 'm'],
    ['underKeelAllowanceM', 'm'],
    ['tidalRangeM', 'm'],
    ['cordSlackM', 'm'],
    ['turnoverMinutes', 'min'],
    ['recallNoticeHours', 'h'],
  ] as const;
  for (const [name, unit] of notNegative) {
    reportQuantity(report, `${at}/${name}`, `setting ${name}`, settings[name], unit, 'notNegative');
  }
  reportQuantity(report, `${at}/lowestTideM`, 'setting lowestTideM', settings.lowestTideM, 'm', 'any');
  for (const name of ['arrivalHour', 'departureHour', 'noShowHour'] as const) {
    const hour = settings[name];
    if (!Number.isInteger(hour) || hour < 0 || hour > 23) {
      report(
        `${at}/${name}`,
        'quantity',
        `The setting ${name} (${hour}) must be a whole hour from 0 to 23: correct it.`,
      );
    }
  }
  settings.usualCordLengthsM.forEach((lengthM, i) => {
    const pointer = `${at}/usualCordLengthsM/${i}`;
    reportQuantity(report, pointer, 'usual cord length', lengthM, 'm', 'positive');
    const before = settings.usualCordLengthsM[i - 1];
    if (before !== undefined && lengthM <= before) {
      report(
        pointer,
        'quantity',
        `The usual cord length ${lengthM} m follows ${before} m: list the lengths ascending.`,
      );
    }
  });
  validateTides(validation);
}

function validateTides({ report, inventory }: Validation): void {
  const tides = inventory.settings.predictedLowTides;
  const sound: { from: string; until: string; index: number }[] = [];
  tides.forEach(({ from, until, heightM }, index) => {
    const at = `/settings/predictedLowTides/${index}`;
    reportQuantity(report, `${at}/heightM`, `predicted low tide from ${from}`, heightM, 'm', 'any');
    let dated = true;
    for (const [name, day] of [
      ['from', from],
      ['until', until],
    ] as const) {
      if (isDay(day)) continue;
      dated = false;
      report(`${at}/${name}`, 'period', `The predicted low tide's ${name} "${day}" is no day: write it as YYYY-MM-DD.`);
    }
    if (!dated) return;
    // ISO days compare as text.
    if (from < until) sound.push({ from, until, index });
    else {
      report(
        `${at}/until`,
        'period',
        `The predicted low tide ends on ${until}, not after its start on ${from}: "until" is the first day no longer covered.`,
      );
    }
  });
  sound.sort((a, b) => (a.from < b.from ? -1 : a.from > b.from ? 1 : a.index - b.index));
  let latest = sound[0];
  for (const tide of sound.slice(1)) {
    if (latest !== undefined && tide.from < latest.until) {
      report(
        `/settings/predictedLowTides/${tide.index}/from`,
        'period',
        `The predicted low tide from ${tide.from} overlaps entry ${latest.index} (${latest.from} until ${latest.until}): a day has one lowest tide.`,
      );
    }
    if (latest === undefined || tide.until > latest.until) latest = tide;
  }
}

function isDay(text: string): boolean {
  if (!/^\d{4}-\d{2}-\d{2}$/.test(text)) return false;
  const at = Date.parse(`${text}T00:00:00Z`);
  return Number.isFinite(at) && new Date(at).toISOString().startsWith(text);
}
