/** Complex numbers as plain data, for volts, amperes, ohms and volt-amperes of sinusoidal steady state (rms). */

export interface Complex {
  readonly re: number;
  readonly im: number;
}

export const complexZero: Complex = { re: 0, im: 0 };

export function complex(re: number, im = 0): Complex {
  return { re, im };
}

/** From magnitude and angle in degrees. */
export function fromPolar(magnitude: number, angleDeg: number): Complex {
  const angle = (angleDeg * Math.PI) / 180;
  return { re: magnitude * Math.cos(angle), im: magnitude * Math.sin(angle) };
}

export function addComplex(a: Complex, b: Complex): Complex {
  return { re: a.re + b.re, im: a.im + b.im };
}

export function subtractComplex(a: Complex, b: Complex): Complex {
  return { re: a.re - b.re, im: a.im - b.im };
}

export function multiplyComplex(a: Complex, b: Complex): Complex {
  return { re: a.re * b.re - a.im * b.im, im: a.re * b.im + a.im * b.re };
}

/** The quotient a / b; the parts are not finite where b is zero. */
export function divideComplex(a: Complex, b: Complex): Complex {
  const square = b.re * b.re + b.im * b.im;
  return { re: (a.re * b.re + a.im * b.im) / square, im: (a.im * b.re - a.re * b.im) / square };
}

export function scaleComplex(a: Complex, factor: number): Complex {
  return { re: a.re * factor, im: a.im * factor };
}

export function conjugate(a: Complex): Complex {
  return { re: a.re, im: -a.im };
}

export function magnitude(a: Complex): number {
  return Math.hypot(a.re, a.im);
}

/** The angle in degrees, above -180 up to 180. */
export function angleDeg(a: Complex): number {
  return (Math.atan2(a.im, a.re) * 180) / Math.PI;
}
