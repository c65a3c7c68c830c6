/** A sinusoid at the supply's frequency as a complex number, volts or amperes. */
export interface Phasor {
  readonly re: number;
  readonly im: number;
}

export const zero: Phasor = { re: 0, im: 0 };

export function polar(magnitude: number, angleDeg: number): Phasor {
  const angle = (angleDeg * Math.PI) / 180;
  return { re: magnitude * Math.cos(angle), im: magnitude * Math.sin(angle) };
}

export function plus(a: Phasor, b: Phasor): Phasor {
  return { re: a.re + b.re, im: a.im + b.im };
}

export function minus(a: Phasor, b: Phasor): Phasor {
  return { re: a.re - b.re, im: a.im - b.im };
}

export function magnitude(a: Phasor): number {
  return Math.hypot(a.re, a.im);
}

/** The same angle with another magnitude; zero has no angle and stays zero. */
export function scaledTo(a: Phasor, length: number): Phasor {
  const old = magnitude(a);
  return old === 0 ? zero : { re: (a.re / old) * length, im: (a.im / old) * length };
}
