/** Work that goes on after its request was answered. */
export interface Background {
  /** The signal says that the service stops: the work then ends at its next pause. */
  start(work: (signal: AbortSignal) => Promise<void>): void;
  /** Ends all of it; answers when the last has ended. */
  stop(): Promise<void>;
}

export function createBackground(onError: (error: unknown) => void): Background {
  const stopping = new AbortController();
  const running = new Set<Promise<void>>();
  return {
    start: (work) => {
      const ended = work(stopping.signal)
        .catch(onError)
        .finally(() => running.delete(ended));
      running.add(ended);
    },
    stop: async () => {
      stopping.abort();
      await Promise.all(running);
    },
  };
}
