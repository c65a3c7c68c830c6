import { buildApp } from './app.ts';
import { readConfig } from './config.ts';
import { openDatabase } from './db/client.ts';
import { startClockJob } from './due/clock-job.ts';
import { OperatorError } from './operator-error.ts';
import { startPlanWorker } from './plans/plan-worker.ts';
import { createServices } from './services.ts';

/**
 * The process: reads the settings, opens the database, listens, and on SIGTERM or SIGINT answers what is running before
 * it ends. A wrong setting ends the start with one line and code 2.
 */
try {
  await run();
} catch (error) {
  console.error(error instanceof OperatorError ? error.message : error);
  process.exitCode = error instanceof OperatorError ? 2 : 1;
}

async function run(): Promise<void> {
  const config = readConfig(process.env);
  const db = await openDatabase(config);
  let stopping = false;
  const services = createServices({ db, clock: Date.now, isStopping: () => stopping });
  const app = await buildApp(services, config);
  const plans = await startPlanWorker(services, (error) => app.log.error(error, 'A plan could not be worked on.'));
  const due = startClockJob(services, (error) => app.log.error(error, 'What is due could not be done.'));

  const stop = async (code: number) => {
    // Asked twice: whoever asks is in earnest.
    if (stopping) process.exit(1);
    stopping = true;
    const impatience = setTimeout(() => {
      app.log.error(`Requests still ran after ${config.shutdownGraceS} s; they were cut off.`);
      process.exit(1);
    }, config.shutdownGraceS * 1_000);
    await app.close();
    await due.stop();
    await plans.stop();
    await db.close();
    clearTimeout(impatience);
    process.exitCode = code;
  };
  for (const signal of ['SIGTERM', 'SIGINT'] as const) process.on(signal, () => void stop(0));
  db.lost.then(() => {
    app.log.fatal('The embedded database ended. The service ends too; start it again.');
    void stop(1);
  });

  try {
    await app.listen({ host: config.host, port: config.port });
  } catch (error) {
    await due.stop();
    await plans.stop();
    await db.close();
    throw listenError(error, config.host, config.port);
  }
}

function listenError(error: unknown, host: string, port: number): unknown {
  const code = error instanceof Error && 'code' in error ? error.code : null;
  if (code === 'EADDRINUSE')
    return new OperatorError(`PORT: ${port} is in use on ${host}. Stop what uses it, or set another PORT.`);
  if (code === 'EACCES') return new OperatorError(`PORT: ${port} needs more rights. Set a PORT above 1023.`);
  if (code === 'EADDRNOTAVAIL' || code === 'ENOTFOUND') {
    return new OperatorError(
      `HOST: "${host}" is no address of this machine. Set 127.0.0.1, or 0.0.0.0 for every network.`,
    );
  }
  return error;
}
