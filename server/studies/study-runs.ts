import { randomUUID } from 'node:crypto';
import type { z } from 'zod';
import type { Tx } from '../db/client.ts';
import type { StudyRun } from '../db/generated/client.ts';
import { type Idempotency, marinaTransaction } from '../db/marina-transaction.ts';
import { plainJson } from '../db/plain-json.ts';
import { Problem } from '../errors.ts';
import type { Principal } from '../http/access.ts';
import type { Services } from '../services.ts';
import { chooseChanges } from './choose-changes.ts';
import { replayStudy } from './replay-study.ts';
import {
  choiceInputSchema,
  chosenSchema,
  type newRunSchema,
  replayedSchema,
  replayInputSchema,
  type studyRunSchema,
} from './schema.ts';
import { readStudy, type StoredStudy } from './stored-study.ts';
import { verifyChoice } from './verify-choice.ts';

type NewRun = z.output<typeof newRunSchema>;
type RunDocument = z.output<typeof studyRunSchema>;

const beatEveryMs = 500;
// Longer than any pause of a service that still works on it.
const silentMs = 60_000;
const stopped = 'The service was stopped while it worked on this. Ask for it again.';

interface AskedRun {
  readonly principal: Principal;
  readonly now: number;
  readonly idempotency: Idempotency | null;
  readonly studyId: string;
  readonly input: NewRun;
}

/** Begins a replay or a choice of a study and answers at once; its row says how far it is. */
export async function beginRun(
  services: Services,
  { principal, now, idempotency, studyId, input }: AskedRun,
): Promise<RunDocument> {
  const { marinaId } = principal;
  const kind = input.replay === undefined ? 'choice' : 'replay';
  const change = { marinaId, actor: principal.id, kind: 'study.runBegun', now, idempotency };
  // A repeated request is answered the first one's run, which is worked on already.
  let isNew = false;
  const id = await marinaTransaction(services.db, change, async ({ tx, recordChange }) => {
    const { row: study } = await readStudy(tx, marinaId, studyId);
    const row = await tx.studyRun.create({
      data: {
        marinaId,
        id: randomUUID(),
        studyId,
        kind,
        asked: plainJson(input[kind]),
        studyVersion: study.version,
        state: 'running',
        askedBy: principal.id,
        askedAt: new Date(now),
        beatAt: new Date(Date.now()),
      },
    });
    await recordChange(null, { studyId, runId: row.id, kind });
    isNew = true;
    return row.id;
  });
  if (isNew) services.background.start((signal) => workOn(services, marinaId, id, signal));
  return readRun(services.db.prisma, marinaId, studyId, id);
}

async function workOn(services: Services, marinaId: string, id: string, signal: AbortSignal): Promise<void> {
  const { prisma } = services.db;
  const where = { marinaId_id: { marinaId, id } };
  const { studyId, kind, asked, askedAt } = await prisma.studyRun.findUniqueOrThrow({ where });
  let beatAt = Date.now();
  const beat = async (progress: number) => {
    if (signal.aborted) throw new Problem('unavailable', stopped);
    if (Date.now() - beatAt < beatEveryMs) return;
    beatAt = Date.now();
    await prisma.studyRun.update({ where, data: { progress, beatAt: new Date(beatAt) } });
  };
  const end = (data: object) =>
    prisma.studyRun.update({ where, data: { ...data, endedAt: new Date(services.clock()) } });
  try {
    const study = await readStudy(prisma, marinaId, studyId);
    const result =
      kind === 'replay'
        ? await replayStudy(services, study, replayInputSchema.parse(asked), beat)
        : await chooseAndVerify(services, study, choiceInputSchema.parse(asked), {
            askedAt: askedAt.getTime(),
            beat,
            keep: (chosen) => prisma.studyRun.update({ where, data: { result: plainJson(chosen) } }),
          });
    await end({ state: 'done', progress: 1, result: plainJson(result) });
  } catch (error) {
    await end({
      state: 'failed',
      failure: error instanceof Problem ? error.message : 'The service failed at it; its log says why.',
    });
    if (!(error instanceof Problem)) throw error;
  }
}

const yearMs = 365 * 86_400_000;
/** What choosing itself counts of the whole work. */
const choosingShare = 0.2;

/** A choice, kept as soon as it is made, and then its finalists replayed. */
async function chooseAndVerify(
  services: Services,
  study: StoredStudy,
  input: z.output<typeof choiceInputSchema>,
  work: {
    readonly askedAt: number;
    readonly beat: (progress: number) => Promise<void>;
    readonly keep: (chosen: z.output<typeof chosenSchema>) => Promise<unknown>;
  },
): Promise<z.output<typeof chosenSchema>> {
  const chosen = await chooseChanges(study, input, () => work.beat(0));
  if (input.verifyOver === null) return chosen;
  await work.keep(chosen);
  const { askedAt } = work;
  const season =
    input.verifyOver === undefined
      ? { from: askedAt - yearMs, until: askedAt }
      : { from: Date.parse(input.verifyOver.from), until: Date.parse(input.verifyOver.until) };
  if (!(season.from < season.until)) throw new Problem('invalid-input', 'The season ends before it begins.');
  const verification = await verifyChoice(
    services,
    study,
    chosen,
    { ...season, stageIds: input.stages.map(({ id }) => id) },
    (share) => work.beat(choosingShare + (1 - choosingShare) * share),
  );
  return { ...chosen, verification };
}

/** @throws Problem `not-found` */
export async function readRun(tx: Tx, marinaId: string, studyId: string, id: string): Promise<RunDocument> {
  const row = await tx.studyRun.findFirst({
    where: { marinaId, studyId, id },
    include: { study: { select: { version: true } } },
  });
  if (row === null) throw new Problem('not-found', `The study has no run "${id}".`);
  return runDocument(row, row.study.version);
}

export function runDocument(row: StudyRun, presentVersion: number): RunDocument {
  const isSilent = row.state === 'running' && row.beatAt.getTime() < Date.now() - silentMs;
  const isReplay = row.kind === 'replay';
  return {
    id: row.id,
    kind: isReplay ? 'replay' : 'choice',
    asked: {
      replay: isReplay ? replayInputSchema.parse(row.asked) : null,
      choice: isReplay ? null : choiceInputSchema.parse(row.asked),
    },
    studyVersion: row.studyVersion,
    isCurrent: row.studyVersion === presentVersion,
    state: isSilent || row.state === 'failed' ? 'failed' : row.state === 'done' ? 'done' : 'running',
    progress: row.progress,
    failure: isSilent ? stopped : row.failure,
    askedAt: row.askedAt.toISOString(),
    endedAt: row.endedAt?.toISOString() ?? null,
    replay: isReplay && row.result !== null ? replayedSchema.parse(row.result) : null,
    choice: !isReplay && row.result !== null ? chosenSchema.parse(row.result) : null,
  };
}
