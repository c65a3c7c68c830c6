// Solves one linear model, level after level, off the request thread. Plain JavaScript: Node.js 20 starts no TypeScript
// worker. Messages in: { model, start, timeLimitS, gap, control }. Out: { kind: 'progress' | 'best' | 'done', ... }.
import { parentPort } from 'node:worker_threads';
import highsLoader from 'highs';

parentPort.once('message', async (task) => {
  try {
    parentPort.postMessage({ kind: 'done', ...(await solve(task)) });
  } catch (error) {
    parentPort.postMessage({ kind: 'failed', message: error instanceof Error ? error.message : String(error) });
  }
});

async function solve({ model, start, timeLimitS, gap, control }) {
  const highs = await highsLoader();
  const { modelStatus, callbackType, variableType } = highs.constants;
  const until = performance.now() + timeLimitS * 1_000;
  const columnCount = model.columnLower.length;
  const stopWanted = () => Atomics.load(control, 0) === 1;
  const solver = highs.createModel({
    numCols: columnCount,
    numRows: model.rowLower.length,
    colCost: new Float64Array(columnCount),
    colLower: model.columnLower,
    colUpper: model.columnUpper,
    rowLower: model.rowLower,
    rowUpper: model.rowUpper,
    matrix: {
      format: 'csr',
      numRows: model.rowLower.length,
      numCols: columnCount,
      starts: model.rowStarts,
      indices: model.columns,
      values: model.values,
    },
    integrality: new Int32Array(columnCount).fill(variableType.integer),
  });
  let best = start;
  const levels = [];
  try {
    solver.options.set({ output_flag: false, log_to_console: false, mip_rel_gap: gap, mip_abs_gap: 0.99 });
    const groups = groupsOf(model.levels);
    for (const [g, group] of groups.entries()) {
      const leftS = (until - performance.now()) / 1_000;
      if (leftS <= 0.01 || stopWanted()) return end();
      const first = group[0]?.index ?? 0;
      const weightOf = new Map();
      for (const { level, factor } of group) {
        level.columns.forEach((column, k) => {
          weightOf.set(column, (weightOf.get(column) ?? 0) + factor * level.weights[k]);
        });
      }
      const indices = [...weightOf.keys()].sort((a, b) => a - b);
      const costs = new Float64Array(columnCount);
      for (const column of indices) costs[column] = weightOf.get(column);
      if (columnCount > 0) solver.changeColsCost({ kind: 'range', from: 0, to: columnCount - 1 }, costs);
      solver.zeroAllClocks();
      solver.options.set('time_limit', leftS);
      if (best !== null) solver.setSolution({ colValue: best });
      let told = 0;
      const tell = ({ mip_dual_bound: bound }) => {
        if (performance.now() - told < 100) return;
        told = performance.now();
        const [known] = resultsOf(group, best, bound);
        if (known !== undefined) {
          parentPort.postMessage({ kind: 'progress', level: first, bound: known.bound, value: known.value });
        }
      };
      solver.run({
        [callbackType.mipInterrupt](event) {
          tell(event.data);
          if (stopWanted()) event.interrupt();
        },
        [callbackType.simplexInterrupt](event) {
          if (stopWanted() || performance.now() > until + 500) event.interrupt();
        },
        [callbackType.mipImprovingSolution](event) {
          best = rounded(event.data.mip_solution);
          const value = group.length === 0 ? null : reached(group[0].level, best);
          parentPort.postMessage({ kind: 'best', level: first, values: best, value });
        },
      });
      const status = solver.getModelStatus();
      if (status === modelStatus.infeasible || status === modelStatus.unboundedOrInfeasible) {
        // With a start that holds, only the row of a level before can have been rounded too tight.
        return best === null ? { status: 'infeasible', values: null, levels: pad(), stopped: false } : end();
      }
      if (solver.info.get('primal_solution_status') === 2) best = rounded(solver.getSolution().colValue);
      if (best === null) return end();
      const isOptimal = status === modelStatus.optimal || status === modelStatus.modelEmpty;
      const total = indices.reduce((sum, column) => sum + costs[column] * best[column], 0);
      const dual = solver.info.get('mip_dual_bound');
      // Sums of whole numbers: within one of each other they are the same.
      const bound = isOptimal && (gap === 0 || total - dual < 1 - 1e-6) ? total : dual;
      const results = resultsOf(group, best, bound);
      levels.push(...results);
      for (const [k, { bound: known, value }] of results.entries()) {
        parentPort.postMessage({ kind: 'progress', level: first + k, bound: known, value });
      }
      if (g + 1 < groups.length) {
        solver.addRow(-highs.infinity, total + 1e-6, { indices, values: indices.map((column) => costs[column]) });
      }
    }
    return end();
  } finally {
    solver.dispose();
  }

  function end() {
    const proven = levels.length === model.levels.length && levels.every((level) => level.proven);
    const status = best === null ? 'noSolution' : proven ? 'optimal' : 'feasible';
    return { status, values: best, levels: pad(), stopped: stopWanted() };
  }

  function pad() {
    const rest = model.levels.slice(levels.length).map((level) => ({
      ...named(level),
      value: best === null ? null : reached(level, best),
      bound: null,
      proven: false,
    }));
    return [...levels, ...rest];
  }
}

// Beyond this the sum of an objective is no longer exact enough to tell two solutions apart.
const mostExact = 2e9;

/**
 * Levels that are solved as one: each counts more than all that comes after it can amount to. One model with a weighted
 * sum is solved far sooner than a row of models in which the sums before are held.
 */
function groupsOf(levels) {
  const groups = [];
  let group = [];
  let after = 0;
  for (const [index, level] of [...levels.entries()].reverse()) {
    const weight = after + 1;
    const size = weight * level.range;
    if (group.length > 0 && after + size > mostExact) {
      groups.unshift(group);
      group = [];
      after = 0;
    }
    const own = after + 1;
    group.unshift({ index, level, factor: (level.sense === 'most' ? -1 : 1) * own });
    after += own * level.range;
  }
  groups.unshift(group);
  return groups;
}

/** What a bound on the weighted sum of a group says of each of its levels, given the values of those before. */
function resultsOf(group, best, bound) {
  let left = bound;
  let asProven = true;
  return group.map(({ level, factor }) => {
    const value = best === null ? null : reached(level, best);
    let known = null;
    if (asProven && Number.isFinite(left)) {
      // All that comes after is at least 0, or for what is wanted most, at least minus all there can be of it.
      const after = group.slice(group.findIndex((each) => each.level === level) + 1);
      const least = after.reduce((sum, each) => sum + Math.min(0, each.factor * each.level.range), 0);
      known =
        level.sense === 'most' ? Math.floor((left - least) / factor + 1e-6) : Math.ceil((left - least) / factor - 1e-6);
      known = level.sense === 'most' ? Math.min(known, level.range) : Math.max(known, 0);
      if (value !== null) known = level.sense === 'most' ? Math.max(known, value) : Math.min(known, value);
    }
    const proven = known !== null && known === value;
    asProven = proven;
    if (value !== null) left -= factor * value;
    return { ...named(level), value, bound: known, proven };
  });
}

function reached(level, values) {
  let sum = 0;
  for (let k = 0; k < level.columns.length; k++) sum += level.weights[k] * Math.round(values[level.columns[k]]);
  return sum;
}

function rounded(values) {
  return Float64Array.from(values, (value) => Math.round(value) + 0);
}

function named({ name, unit, sense }) {
  return { name, unit, sense };
}
