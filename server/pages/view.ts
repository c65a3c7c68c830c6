import type { Display } from '../marinas/display.ts';
import { en, type Texts } from './texts/en.ts';

/** How one person sees the marina: words, units, clock and time zone. */
export interface View {
  readonly texts: Texts;
  /** Of the language: `en`. */
  readonly language: string;
  readonly locale: string;
  readonly lengths: Display['lengths'];
  readonly clock: Display['clock'];
  /** IANA name. */
  readonly timeZone: string;
  readonly marinaName: string;
}

export function viewOf({ lengths, clock }: Display, marinaName: string, timeZone: string): View {
  return { texts: en, language: 'en', locale: 'en-US', lengths, clock, timeZone, marinaName };
}

const metresPerFoot = 0.3048;

/** A length as people there say it: `42 ft 6 in` or `12.95 m`; a dash where it is unknown. */
export function lengthText(view: View, metres: number | null): string {
  return metres === null ? view.texts.common.unknown : inUnit(view.lengths, metres);
}

function inUnit(lengths: View['lengths'], metres: number): string {
  if (lengths === 'metres') return `${metres.toFixed(2)} m`;
  const inches = Math.round((metres / metresPerFoot) * 12);
  const sign = inches < 0 ? '-' : '';
  const [feet, rest] = [Math.floor(Math.abs(inches) / 12), Math.abs(inches) % 12];
  return `${sign}${feet} ft${rest === 0 ? '' : ` ${rest} in`}`;
}

/** A sentence of core, which speaks metres, with its lengths in the view's unit. */
export function spoken({ lengths }: Pick<View, 'lengths'>, sentence: string): string {
  if (lengths === 'metres') return sentence;
  return sentence.replaceAll(/(-?\d+(?:\.\d+)?) m\b(?![²/])/g, (_, metres: string) => inUnit(lengths, Number(metres)));
}

/** A length as a form's field holds it. */
export function lengthField(view: View, metres: number | null): string {
  if (metres === null) return '';
  return view.lengths === 'metres' ? String(Number(metres.toFixed(2))) : lengthText(view, metres);
}

/**
 * Reads a length as somebody types it, in metres: `42`, `42.5`, `42'6"`, `42 ft 6 in`, `12.8 m`, `12,8 m`. A bare number
 * is in the unit of the view. NaN where it is no length.
 */
export function readLength(view: View, said: string): number {
  const text = said.trim().toLowerCase().replace(',', '.');
  const feet = /^(\d+(?:\.\d+)?)\s*(?:'|ft|feet|foot)\s*(?:(\d+(?:\.\d+)?)\s*(?:"|''|in|inches)?)?$/.exec(text);
  if (feet !== null) return round((Number(feet[1]) + Number(feet[2] ?? 0) / 12) * metresPerFoot);
  const number = /^(\d+(?:\.\d+)?)\s*(m|metres?|meters?)?$/.exec(text);
  if (number === null) return Number.NaN;
  const value = Number(number[1]);
  return number[2] !== undefined || view.lengths === 'metres' ? value : round(value * metresPerFoot);
}

/** Millimetres: what is typed in feet shall not be stored with fifteen digits. */
function round(metres: number): number {
  return Math.round(metres * 1000) / 1000;
}

function format(view: View, at: string | number, options: Intl.DateTimeFormatOptions): string {
  const instant = typeof at === 'number' ? at : Date.parse(at);
  return new Intl.DateTimeFormat(view.locale, { timeZone: view.timeZone, ...options }).format(instant);
}

/** `3:00 PM` or `15:00`. */
export function timeText(view: View, at: string | number): string {
  return view.clock === '12'
    ? format(view, at, { hour: 'numeric', minute: '2-digit', hour12: true })
    : format(view, at, { hour: '2-digit', minute: '2-digit', hourCycle: 'h23' });
}

/** `Fri, Nov 27`. */
export function dayText(view: View, at: string | number): string {
  return format(view, at, { weekday: 'short', month: 'short', day: 'numeric' });
}

/** `Friday, November 27, 2026`. */
export function longDayText(view: View, at: string | number): string {
  return format(view, at, { weekday: 'long', month: 'long', day: 'numeric', year: 'numeric' });
}

/** `Fri, Nov 27, 3:00 PM`. */
export function momentText(view: View, at: string | number): string {
  return `${dayText(view, at)}, ${timeText(view, at)}`;
}
