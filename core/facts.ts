/** Who stated a fact. A dockhand's reading outranks a phone call; a default is an assumption and is shown as one. */
export type FactOrigin = 'phone' | 'boater' | 'dockhand' | 'default';

/** A fact with where it came from and when, in epoch milliseconds. `null` in place of a fact means nobody has stated it. */
export interface Fact<T> {
  readonly value: T;
  readonly origin: FactOrigin;
  readonly at: number;
}

export type MaybeFact<T> = Fact<T> | null;

/** The stated value, or null where nobody has stated it. */
export function statedValue<T>(fact: MaybeFact<T>): T | null {
  return fact === null ? null : fact.value;
}
