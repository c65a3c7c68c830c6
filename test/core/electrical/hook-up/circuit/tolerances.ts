/** What the tests of hook-up circuits hold. */
export const hookUpTolerances = {
  /** Current balance at every terminal and power balance of the circuit. */
  balanceRelative: 1e-9,
  /** Against the power-flow solver and the plain nodal solve. */
  otherSolversRelative: 1e-8,
} as const;
