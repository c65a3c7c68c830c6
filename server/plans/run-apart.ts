import { fork } from 'node:child_process';
import { createRequire } from 'node:module';
import { fileURLToPath, pathToFileURL } from 'node:url';
import type { PlanQuestion } from '../../core/berths/plan/question.ts';
import type { FromPlanChild, ToPlanChild } from './plan-child.ts';
import type { PlanProgress, PlanRun } from './run-plan.ts';

export type RunApart =
  | { readonly state: 'done'; readonly run: PlanRun }
  /** Asked to stop, with the plan that it had by then, if it answered in time. */
  | { readonly state: 'stopped'; readonly run: PlanRun | null }
  | { readonly state: 'failed'; readonly message: string };

// A stop is answered within a second, with or without a plan.
const patienceMs = 700;

/** Makes a plan in a process of its own. Never rejects. */
export function runApart(
  { index, ...question }: PlanQuestion,
  timeLimitS: number,
  signal: AbortSignal,
  onProgress: (progress: PlanProgress) => void,
): Promise<RunApart> {
  const extension = import.meta.url.endsWith('.ts') ? 'ts' : 'js';
  const program = fileURLToPath(new URL(`plan-child.${extension}`, import.meta.url));
  const loader = () => ['--import', pathToFileURL(createRequire(import.meta.url).resolve('tsx')).href];
  const child = fork(program, [], {
    execArgv: extension === 'ts' ? loader() : process.execArgv,
    serialization: 'advanced',
    stdio: ['ignore', 'ignore', 'inherit', 'ipc'],
  });
  return new Promise((resolve) => {
    let ended = false;
    let impatience: NodeJS.Timeout | null = null;
    const finish = (outcome: RunApart) => {
      if (ended) return;
      ended = true;
      if (impatience !== null) clearTimeout(impatience);
      signal.removeEventListener('abort', stop);
      child.kill('SIGKILL');
      resolve(outcome);
    };
    const stop = () => {
      if (child.connected) child.send({ stop: true } satisfies ToPlanChild);
      impatience = setTimeout(() => finish({ state: 'stopped', run: null }), patienceMs);
    };
    child.on('message', (message: FromPlanChild) => {
      if ('progress' in message) onProgress(message.progress);
      else if ('failed' in message) finish({ state: 'failed', message: message.failed });
      else finish({ state: signal.aborted ? 'stopped' : 'done', run: message.done });
    });
    child.on('error', (error) => finish({ state: 'failed', message: error.message }));
    child.on('exit', (code, by) => {
      finish({ state: 'failed', message: `The plan's process ended (${by ?? code}) before it answered.` });
    });
    if (signal.aborted) return finish({ state: 'stopped', run: null });
    signal.addEventListener('abort', stop, { once: true });
    child.send({ ask: { ...question, inventory: index.inventory }, timeLimitS } satisfies ToPlanChild);
  });
}
