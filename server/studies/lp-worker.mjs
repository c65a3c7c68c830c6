// Solves linear models to the end, off the request thread. Plain JavaScript: Node.js 20 starts no TypeScript worker.
import { parentPort, workerData } from 'node:worker_threads';
import load from 'highs';

const highs = await load();
parentPort.on('message', ({ lp }) => {
  try {
    const solution = highs.solve(lp, {
      output_flag: false,
      mip_rel_gap: 0,
      mip_abs_gap: 0,
      time_limit: workerData.timeLimitS,
      random_seed: 1,
    });
    const values = Object.entries(solution.Columns ?? {}).map(([name, column]) => [name, column.Primal ?? 0]);
    parentPort.postMessage({ status: solution.Status, values });
  } catch (error) {
    parentPort.postMessage({ status: 'failed', message: error instanceof Error ? error.message : String(error) });
  }
});
