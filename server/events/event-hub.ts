import type { Database } from '../db/client.ts';
import type { Due } from '../due/due.ts';

/** One change, as those who watch are told of it. */
export interface ChangeEvent {
  readonly seq: number;
  readonly kind: string;
  readonly actor: string;
  readonly at: string;
  /** Ids of the rows that it touched, by table: `{"stay": ["..."]}`. */
  readonly touched: Readonly<Record<string, readonly string[]>>;
}

/** Told of every change of a marina once, in order. */
export type Listener = (events: readonly ChangeEvent[]) => void;

export interface EventHub {
  /**
   * Tells of every change after `afterSeq`, first those that are stored, then those to come. Returns how to stop.
   * A listener that throws is not told again.
   */
  watch(marinaId: string, afterSeq: number, listener: Listener, ending: { readonly closed: () => void }): () => void;
  /** Number of the marina's last change. */
  lastSeq(marinaId: string): Promise<number>;
  close(): void;
}

interface Watch {
  readonly marinaId: string;
  readonly listener: Listener;
  /** Called when the service stops. */
  readonly closed: () => void;
  /** The last change that it was told of. */
  seq: number;
}

const most = 500;

// What people call a thing by: the rows behind it are not named.
const toldTables = ['boat', 'stay', 'stay_group', 'assignment', 'holding', 'absence', 'out_of_service'];

/**
 * One poller a process, however many watch: it reads the changes of the marinas that are watched from where the slowest
 * of their watchers stands. It runs on any database and finds what other replicas wrote: a marina's changes are
 * committed in the order of their numbers, so none can appear behind one that was read.
 */
export function createEventHub(
  { pool }: Pick<Database, 'pool'>,
  due: Due,
  { clock, everyMs, onError }: { clock: () => number; everyMs: number; onError: (error: unknown) => void },
): EventHub {
  const watches = new Set<Watch>();
  let timer: NodeJS.Timeout | null = null;
  let isClosed = false;

  const schedule = (afterMs: number) => {
    if (timer !== null || isClosed || watches.size === 0) return;
    timer = setTimeout(() => void poll(), afterMs);
  };

  const poll = async () => {
    let isFull = false;
    try {
      for (const marinaId of new Set([...watches].map((watch) => watch.marinaId))) {
        // A desk that only watches sees an offer lapse too.
        await due.catchUp(marinaId, clock());
        const behind = [...watches].filter((watch) => watch.marinaId === marinaId);
        const events = await read(marinaId, Math.min(...behind.map(({ seq }) => seq)));
        isFull ||= events.length === most;
        for (const watch of behind) tell(watch, events);
      }
    } catch (error) {
      // The database may be gone for a while: those who watch miss nothing, the next poll goes on from where they stand.
      onError(error);
    }
    timer = null;
    schedule(isFull ? 0 : everyMs);
  };

  const tell = (watch: Watch, events: readonly ChangeEvent[]) => {
    const news = events.filter(({ seq }) => seq > watch.seq);
    const last = news.at(-1);
    if (last === undefined || !watches.has(watch)) return;
    watch.seq = last.seq;
    try {
      watch.listener(news);
    } catch (error) {
      watches.delete(watch);
      onError(error);
    }
  };

  const read = async (marinaId: string, afterSeq: number): Promise<ChangeEvent[]> => {
    const { rows } = await pool.query<Omit<ChangeEvent, 'at'> & { at: Date }>(
      `SELECT c.seq::int AS seq, c.kind, c.actor, c.at, coalesce((SELECT json_object_agg(t.table_name, t.ids) FROM (
           SELECT r.table_name, json_agg(DISTINCT r.row_id) AS ids FROM change_row r
           WHERE r.marina_id = c.marina_id AND r.seq = c.seq AND r.table_name = ANY($4) GROUP BY r.table_name
         ) t), '{}') AS touched
       FROM change c WHERE c.marina_id = $1 AND c.seq > $2 ORDER BY c.seq LIMIT $3`,
      [marinaId, afterSeq, most, toldTables],
    );
    return rows.map(({ at, ...event }) => ({ ...event, at: at.toISOString() }));
  };

  return {
    watch: (marinaId, afterSeq, listener, { closed }) => {
      const watch: Watch = { marinaId, listener, closed, seq: afterSeq };
      if (isClosed) closed();
      watches.add(watch);
      schedule(0);
      return () => {
        watches.delete(watch);
        if (watches.size > 0 || timer === null) return;
        clearTimeout(timer);
        timer = null;
      };
    },
    lastSeq: async (marinaId) => {
      const { rows } = await pool.query<{ seq: number }>('SELECT seq::int AS seq FROM marina WHERE id = $1', [
        marinaId,
      ]);
      return rows[0]?.seq ?? 0;
    },
    close: () => {
      isClosed = true;
      if (timer !== null) clearTimeout(timer);
      for (const { closed } of watches) closed();
      watches.clear();
    },
  };
}
