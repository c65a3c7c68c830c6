import { type ChildProcess, spawn } from 'node:child_process';
import { projectRoot } from '../../server/project-root.ts';

/** The service as a process of its own, as people start it. */
export interface ServiceProcess {
  /** `http://127.0.0.1:<port>` */
  readonly address: string;
  readonly process: ChildProcess;
  readonly ended: Promise<Ending>;
  /** Sends the signal and waits for the end. */
  end(signal: NodeJS.Signals): Promise<Ending>;
}

export interface Ending {
  readonly code: number | null;
  readonly signal: NodeJS.Signals | null;
  /** All that it printed. */
  readonly output: string;
}

const fromSources = ['--import', 'tsx'];

/** The service as `npm start` starts it. Only after test/support/build-service.ts has built it. */
export const builtService = ['dist/server/main.js'];

/** Starts the service on a free port and waits until it listens; rejects with its output when it ends instead. */
export async function startService(
  environment: Readonly<Record<string, string>>,
  program: readonly string[] = [...fromSources, 'server/main.ts'],
): Promise<ServiceProcess> {
  const { child, output, ended } = run(program, { PORT: '0', LOG_LEVEL: 'info', ...environment });
  const address = await new Promise<string>((resolve, reject) => {
    child.stdout?.on('data', () => {
      const listening = /Server listening at (http:\/\/[\d.]+:\d+)/.exec(output.text);
      if (listening?.[1] !== undefined) resolve(listening[1]);
    });
    ended.then((ending) => reject(new Error(`The service ended (${ending.code}): ${ending.output}`)));
  });
  return {
    address,
    process: child,
    ended,
    end: async (signal) => {
      child.kill(signal);
      return ended;
    },
  };
}

/** Runs a program of the project, from its sources, to its end. */
export async function runToEnd(
  args: readonly string[],
  environment: Readonly<Record<string, string>>,
): Promise<Ending> {
  return run([...fromSources, ...args], environment).ended;
}

function run(args: readonly string[], environment: Readonly<Record<string, string>>) {
  const child = spawn(process.execPath, [...args], {
    cwd: projectRoot,
    env: { PATH: process.env.PATH, HOME: process.env.HOME, ...environment },
    stdio: ['ignore', 'pipe', 'pipe'],
  });
  const output = { text: '' };
  for (const stream of [child.stdout, child.stderr]) {
    stream.on('data', (data: Buffer) => {
      output.text += data.toString();
    });
  }
  const ended = new Promise<Ending>((resolve) => {
    // 'close', not 'exit': the last lines count.
    child.once('close', (code, signal) => resolve({ code, signal, output: output.text }));
  });
  return { child, output, ended };
}
