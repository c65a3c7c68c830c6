/**
 * How closely a power flow must agree with what it is held against, by quantity. Published figures are held to the
 * tolerance that each case states beside them (test/reference/power-flow); these are the widest of them, by class.
 */
export const powerFlowTolerances = {
  /** Published to double precision by a program that models the same circuit: volts. */
  doublePrecisionV: 1e-4,
  /** Published to double precision, same circuit: degrees. */
  doublePrecisionDeg: 1e-4,
  /** Double precision, but the program adds parts of its own (anti-float shunts, magnetizing branch): volts. */
  doublePrecisionWithOwnShuntsV: 2e-3,
  /** IEEE test feeders printed to 1 V and 0.1 A: relative, the acceptance threshold of the IEEE 4 node feeder. */
  ieeeMagnitudeRelative: 5e-4,
  /** IEEE test feeders printed to 0.1 degree. */
  ieeeAngleDeg: 0.1,
  /** IEEE centre-tapped feeder printed to 0.01 V and 0.01 A. */
  ieeeCentreTapV: 0.02,
  ieeeCentreTapA: 0.02,
  /** Currents printed to 0.1 A: half the last digit. */
  printedTenthA: 0.05,
  /** Sum of currents at each terminal against the sum of their magnitudes there. */
  currentBalanceRelative: 1e-9,
  /** Power in against power out and losses, relative to power in. */
  powerBalanceRelative: 1e-9,
  /** Sparse solver against plain dense elimination: volts, relative to the source. */
  denseSolverRelative: 1e-9,
  /** Against a circuit simulator, linear loads: volts and amperes, relative. */
  circuitSimulatorRelative: 1e-4,
} as const;
