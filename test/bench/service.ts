import { performance } from 'node:perf_hooks';
import fastify from 'fastify';
import { type BenchMarina, openBenchMarina } from './bench-marina.ts';
import { type Figures, interleaved, rounded } from './measure.ts';

/** The service over HTTP on a marina of 1,000 berths and 100,000 stays, and its growth with the marina. */
export async function run(): Promise<Figures[]> {
  const marina = await openBenchMarina(1_000, 100_000, 400);
  try {
    return [await options(marina, 1_000), ...(await reads(marina)), await assignments(marina), ...(await growth())];
  } finally {
    await marina.close();
  }
}

async function options(marina: BenchMarina, berths: number): Promise<Figures> {
  const { asked } = await interleaved(60, { asked: () => get(marina, `/stays/ask-0/berth-options`) });
  return { name: `berth options over HTTP, ${berths} berths`, database: marina.database, ...asked };
}

/** The same rows through the service and through a bare Fastify route with a prepared statement of plain `pg`. */
async function reads(marina: BenchMarina): Promise<Figures[]> {
  const app = fastify();
  const columns = `id, stay_id AS "stayId", berth_id AS "berthId", orientation, from_at AS "from", until_at AS "until",
    occupied_until AS "occupiedUntil", found, verdict, findings, overrides, rules_edition AS "rulesEdition", version`;
  app.get('/list', async () => {
    const text = `SELECT ${columns} FROM assignment WHERE marina_id = $1 ORDER BY from_at, id LIMIT 50`;
    return { items: (await marina.pool.query({ name: 'bench-list', text, values: ['bench'] })).rows };
  });
  app.get<{ Params: { id: string } }>('/one/:id', async ({ params }) => {
    const text = `SELECT ${columns} FROM assignment WHERE marina_id = $1 AND id = $2`;
    return (await marina.pool.query({ name: 'bench-one', text, values: ['bench', params.id] })).rows[0];
  });
  const bare = await app.listen({ port: 0, host: '127.0.0.1' });
  const first = await json(`${marina.url}/assignments?limit=1`, marina.token);
  const id = first.items[0].id;
  try {
    const taken = await interleaved(150, {
      list: () => get(marina, '/assignments?limit=50'),
      bareList: () => plain(`${bare}/list`),
      one: () => get(marina, `/assignments/${id}`),
      bareOne: () => plain(`${bare}/one/${id}`),
    });
    const ratio = (ours: number, theirs: number) => rounded(ours / theirs);
    const { database } = marina;
    return [
      {
        name: 'list of 50 assignments',
        database,
        ...taken.list,
        bareMs: taken.bareList.medianMs,
        timesBare: ratio(taken.list.medianMs, taken.bareList.medianMs),
      },
      {
        name: 'one assignment by key',
        database,
        ...taken.one,
        bareMs: taken.bareOne.medianMs,
        timesBare: ratio(taken.one.medianMs, taken.bareOne.medianMs),
      },
    ];
  } finally {
    await app.close();
  }
}

/** Stays assigned one after another to the best berth that is left, eight requests at a time. */
async function assignments(marina: BenchMarina): Promise<Figures> {
  const { options: open } = await json(`${marina.url}/stays/ask-0/berth-options?options=100&refused=0`, marina.token);
  const berthIds: string[] = open
    .filter((option: { place: unknown }) => option.place === null)
    .map((option: { berthId: string }) => option.berthId);
  const start = performance.now();
  let assigned = 0;
  let next = 0;
  const clerk = async () => {
    for (let turn = next++; turn < berthIds.length; turn = next++) {
      const answer = await fetch(`${marina.url}/stays/ask-${turn}/assign`, {
        method: 'POST',
        headers: { authorization: `Bearer ${marina.token}`, 'content-type': 'application/json' },
        body: JSON.stringify({ berthId: berthIds[turn] }),
      });
      await answer.arrayBuffer();
      if (answer.status === 200) assigned += 1;
      else if (answer.status !== 409) throw new Error(`assign answered ${answer.status}`);
    }
  };
  await Promise.all(Array.from({ length: 8 }, clerk));
  const seconds = (performance.now() - start) / 1_000;
  return {
    name: 'assignments, eight at a time',
    database: marina.database,
    assigned,
    tried: berthIds.length,
    triedPerSecond: rounded(berthIds.length / seconds),
  };
}

async function growth(): Promise<Figures[]> {
  const figures: Figures[] = [];
  for (const berths of [100, 300, 3_000]) {
    const marina = await openBenchMarina(berths, berths * 20, 1);
    try {
      figures.push(await options(marina, berths));
    } finally {
      await marina.close();
    }
  }
  return figures;
}

async function get(marina: BenchMarina, path: string): Promise<void> {
  await plain(`${marina.url}${path}`, marina.token);
}

async function plain(url: string, token?: string): Promise<void> {
  const answer = await fetch(url, { headers: token === undefined ? {} : { authorization: `Bearer ${token}` } });
  if (answer.status !== 200) throw new Error(`${url} answered ${answer.status}: ${await answer.text()}`);
  await answer.arrayBuffer();
}

// biome-ignore lint/suspicious/noExplicitAny: a measurement reads a few fields of an answer that the API suite checks
async function json(url: string, token: string): Promise<any> {
  const answer = await fetch(url, { headers: { authorization: `Bearer ${token}` } });
  if (answer.status !== 200) throw new Error(`${url} answered ${answer.status}: ${await answer.text()}`);
  return answer.json();
}
