import { Worker } from 'node:worker_threads';
import {
  type LevelResult,
  type LinearModel,
  type LinearSolution,
  levelValue,
  type SolveStatus,
} from '../../core/linear/linear-model.ts';

export interface SolveProgress {
  /** Which level is being solved. */
  readonly level: number;
  readonly bound: number | null;
  readonly value: number | null;
}

export interface SolveOptions {
  readonly timeLimitS: number;
  /** A solution that is known to hold: where it is, there is always an answer. */
  readonly start?: Float64Array | null;
  /** Relative gap at which a level counts as solved; 0: to the end. */
  readonly gap?: number;
  readonly signal?: AbortSignal | null;
  readonly onProgress?: (progress: SolveProgress) => void;
}

type Message =
  | ({ readonly kind: 'progress' } & SolveProgress)
  | { readonly kind: 'best'; readonly level: number; readonly values: Float64Array; readonly value: number }
  | {
      readonly kind: 'done';
      readonly status: SolveStatus;
      readonly values: Float64Array | null;
      readonly levels: readonly LevelResult[];
      readonly stopped: boolean;
    }
  | { readonly kind: 'failed'; readonly message: string };

// How long a solver that was asked to stop may still take before it is ended from outside, ms.
const patienceMs = 300;

/**
 * Solves a linear model in a thread of its own. Never rejects: whatever happens is a status. A stop, by `signal`, is
 * answered within a second with the best solution found until then.
 */
export function solve(model: LinearModel, options: SolveOptions): Promise<LinearSolution> {
  const { timeLimitS, start = null, gap = 0, signal = null, onProgress } = options;
  const control = new Int32Array(new SharedArrayBuffer(4));
  return new Promise((resolve) => {
    let best = start;
    let bounds: { readonly level: number; readonly bound: number | null } = { level: 0, bound: null };
    let impatience: NodeJS.Timeout | null = null;
    let ended = false;
    const worker = new Worker(new URL('./highs-worker.mjs', import.meta.url), { execArgv: [] });

    const finish = (solution: LinearSolution) => {
      if (ended) return;
      ended = true;
      if (impatience !== null) clearTimeout(impatience);
      clearTimeout(overtime);
      signal?.removeEventListener('abort', stop);
      void worker.terminate();
      resolve(solution);
    };
    /** What is known when the solver itself says nothing any more. */
    const known = (stopped: boolean, message: string | null): LinearSolution => ({
      status: best === null ? (message === null ? 'noSolution' : 'failed') : 'feasible',
      values: best,
      levels: model.levels.map(({ name, unit, sense, ...level }, i) => {
        const value = best === null ? null : levelValue({ name, unit, sense, ...level }, best);
        const bound = i < bounds.level ? value : i === bounds.level ? bounds.bound : null;
        return { name, unit, sense, value, bound, proven: value !== null && bound === value };
      }),
      stopped,
      message,
    });
    const stop = () => {
      Atomics.store(control, 0, 1);
      impatience = setTimeout(() => finish(known(true, null)), patienceMs);
    };
    // The solver looks at its clock at its own pace: a long presolve must not outlast the limit.
    const overtime = setTimeout(() => finish(known(false, null)), timeLimitS * 1_000 + 2_000);

    worker.on('message', (message: Message) => {
      switch (message.kind) {
        case 'progress':
          bounds = message;
          onProgress?.({ level: message.level, bound: message.bound, value: message.value });
          return;
        case 'best':
          best = Float64Array.from(message.values, Math.round);
          onProgress?.({ level: message.level, bound: bounds.bound, value: message.value });
          return;
        case 'done': {
          const { status, values, levels, stopped } = message;
          return finish({ status, values, levels, stopped, message: null });
        }
        case 'failed':
          return finish(known(false, message.message));
      }
    });
    worker.on('error', (error) => finish(known(false, String(error))));
    worker.on('exit', (code) => finish(known(false, `the solver's thread ended with code ${code}`)));
    if (signal?.aborted) return finish(known(true, null));
    signal?.addEventListener('abort', stop, { once: true });
    worker.postMessage({ model, start, timeLimitS, gap, control });
  });
}
