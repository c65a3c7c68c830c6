/** Something that the chosen edition asks for besides, once certain changes are made; its cost is entered by the manager. */
export interface Obligation {
  readonly id: string;
  /** Due where any of them is made; empty: with any change. */
  readonly changeIds: readonly string[];
}

/** The obligations that these changes bring, each once. */
export function dueObligations<Due extends Obligation>(obligations: readonly Due[], made: ReadonlySet<string>): Due[] {
  return obligations.filter(({ changeIds }) =>
    changeIds.length === 0 ? made.size > 0 : changeIds.some((id) => made.has(id)),
  );
}
