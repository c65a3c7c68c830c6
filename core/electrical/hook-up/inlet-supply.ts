import type { LineName } from '../../standards/configuration.ts';
import { magnitude, subtractComplex } from '../complex.ts';
import { rounded } from './circuit/judge-volts.ts';
import type { HookUpContext, InletLeg, InletSupply } from './hook-up.ts';
import { cordSetsFor } from './inlet-rules.ts';
import { conductorA, protectedA } from './protection-rules.ts';
import { isLineTerminal, lineOf, phasorOf, type TracedHookUp, type TracedInlet } from './trace.ts';
import { pathsTo } from './wiring-rules.ts';

/** What arrives at one inlet, leg by leg. */
function inletSupply(traced: TracedInlet, context: HookUpContext): InletSupply {
  const legs = traced.configuration.terminals.filter(isLineTerminal).map((terminal): InletLeg => {
    const path = pathsTo(traced, terminal)[0];
    if (path === undefined) return { terminal, outletId: null, line: null, lineToNeutralV: null, availableA: null };
    const volts = phasorOf(path);
    const breakersA = protectedA(path);
    return {
      terminal,
      outletId: path.outlet.id,
      line: lineOf(path),
      lineToNeutralV: volts === null ? null : Math.round(magnitude(volts) * 10) / 10,
      availableA: breakersA === null ? null : Math.min(breakersA, conductorA(path, traced, context)),
    };
  });
  return {
    inletId: traced.inlet.id,
    configurationId: traced.configuration.id,
    cordSetIds: cordSetsFor(context.boat, traced.configuration.id)?.map((cord) => cord.id) ?? null,
    legs,
    lineToLineV: linePairs(traced)[0]?.voltageV ?? null,
    availableVa: drawableVa([traced], context),
  };
}

/** VA that these inlets can draw together: legs on one pole share its breaker. Null where a breaker or voltage is unknown. */
function drawableVa(inlets: readonly TracedInlet[], context: HookUpContext): number | null {
  const poles = new Map<string, { limitA: number; sumA: number; voltageV: number }>();
  for (const traced of inlets) {
    const pairs = linePairs(traced);
    const lineToLineV = traced.configuration.terminals.includes('N') ? null : (pairs[0]?.voltageV ?? null);
    for (const terminal of traced.configuration.terminals) {
      const path = isLineTerminal(terminal) ? pathsTo(traced, terminal)[0] : undefined;
      if (path === undefined) continue;
      const limitA = path.outlet.breakerA;
      const breakersA = protectedA(path);
      const phasor = phasorOf(path);
      if (limitA === null || breakersA === null || phasor === null) return null;
      // Without a neutral the loads of a pair hang between its lines: half of their VA counts for each.
      const voltageV = lineToLineV !== null && pairs.length === 1 ? lineToLineV / 2 : magnitude(phasor);
      const legA = Math.min(breakersA, conductorA(path, traced, context));
      const key = `${path.outlet.id} ${path.terminal}`;
      const before = poles.get(key);
      poles.set(key, { limitA, voltageV, sumA: (before?.sumA ?? 0) + legA });
    }
  }
  let totalVa = 0;
  for (const { limitA, sumA, voltageV } of poles.values()) totalVa += Math.min(limitA, sumA) * voltageV;
  return Math.round(totalVa);
}

/** Every inlet's supply and what they can draw in all. */
export function suppliesOf(traced: TracedHookUp, context: HookUpContext) {
  return {
    inlets: traced.inlets.map((inlet) => inletSupply(inlet, context)),
    availableVa: drawableVa(traced.inlets, context),
  };
}

/** Two lines of the inlet with the nominal volts between them; null where a line or the system is unknown. */
interface LinePair {
  readonly between: readonly [LineName, LineName];
  readonly voltageV: number | null;
}

function linePairs(traced: TracedInlet): LinePair[] {
  const { live } = traced;
  const pairs: LinePair[] = [];
  live.forEach((a, i) => {
    for (const b of live.slice(i + 1)) {
      const onePole = a.path.outlet === b.path.outlet && a.path.terminal === b.path.terminal;
      const va = phasorOf(a.path);
      const vb = phasorOf(b.path);
      // The same contact on both legs is the same line, whatever line it is.
      const voltageV = onePole ? 0 : va === null || vb === null ? null : rounded(magnitude(subtractComplex(va, vb)));
      pairs.push({ between: [a.terminal, b.terminal], voltageV });
    }
  });
  return pairs;
}
