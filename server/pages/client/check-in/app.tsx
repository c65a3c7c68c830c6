import { render } from 'preact';
import { useCallback, useEffect, useState } from 'preact/hooks';
import { CheckIn } from './check-in.tsx';
import { clockOf, type Dock, texts } from './context.ts';
import { Departure } from './departure.tsx';
import { keepPage } from './keep-page.ts';
import { List } from './list.tsx';
import { newEventId, type PhoneStore, phoneStore } from './phone-store.ts';
import { Report } from './report.tsx';
import { Status } from './status.tsx';
import { loadShift, type Reached, type Sent, sendQueue } from './sync.ts';

/** Draws the dockhand's page from what the phone keeps, and sends what waits whenever there is a network. */
export function startCheckIn(root: HTMLElement): void {
  const { marina = '', lengths = 'feet', clock = '12', timeZone = 'UTC' } = root.dataset;
  const store = phoneStore(marina);
  root.replaceChildren();
  render(
    <App
      store={store}
      lengths={lengths === 'metres' ? 'metres' : 'feet'}
      time={clockOf(timeZone, clock)}
      marinaId={marina}
    />,
    root,
  );
}

interface AppProps extends Pick<Dock, 'store' | 'lengths' | 'time'> {
  readonly marinaId: string;
}

const retryMs = 20_000;
const tickMs = 15_000;

function App({ store, lengths, time, marinaId }: AppProps) {
  const [route, setRoute] = useState(location.hash.slice(1));
  const [, redraw] = useState(0);
  const [reached, setReached] = useState<Reached | null>(null);
  const [isLoading, setLoading] = useState(false);
  const [sent, setSent] = useState<readonly Sent[]>([]);
  const [reloads, setReloads] = useState<boolean | null>(null);
  const [cannotKeep, setCannotKeep] = useState(false);
  const changed = useCallback(() => redraw((count) => count + 1), []);

  const send = useCallback(async () => {
    const result = await sendQueue(store);
    if (result === null) return;
    setReached(
      store.queue().length === 0 && result.sent.length === 0 ? (navigator.onLine ? 'yes' : 'no') : result.reached,
    );
    if (result.sent.length > 0) setSent((before) => [...result.sent, ...before].slice(0, 20));
    changed();
  }, [store, changed]);

  useEffect(() => {
    const follow = () => {
      setRoute(location.hash.slice(1));
      scrollTo(0, 0);
    };
    const offline = () => setReached('no');
    addEventListener('hashchange', follow);
    addEventListener('online', send);
    addEventListener('offline', offline);
    const retry = setInterval(send, retryMs);
    // What is known expires while nobody touches the page.
    const tick = setInterval(changed, tickMs);
    keepPage(marinaId).then(setReloads);
    send();
    return () => {
      removeEventListener('hashchange', follow);
      removeEventListener('online', send);
      removeEventListener('offline', offline);
      clearInterval(retry);
      clearInterval(tick);
    };
  }, [send, changed, marinaId]);

  const load = async () => {
    setLoading(true);
    setReached(await guarded(() => loadShift(store), setCannotKeep));
    setLoading(false);
  };

  const kept = store.shift();
  const back = () => {
    location.hash = 'list';
  };
  const dock: Dock | null =
    kept === null
      ? null
      : {
          store,
          shift: kept.shift,
          lengths,
          time,
          now: Date.now() + kept.clockOffsetMs,
          back,
          enter: (stayId, title, body) => {
            const event = { id: newEventId(), stayId, title, body, notTaken: null };
            if (!keep(store, event, setCannotKeep)) return;
            if (stayId !== null && body.kind === 'checkIn') store.dropDraft(stayId);
            back();
            send();
          },
        };
  return (
    <>
      <Status
        store={store}
        dock={dock}
        {...{ reached, isLoading, sent, reloads, cannotKeep }}
        onLoad={load}
        onSend={send}
        onChange={changed}
      />
      {dock === null ? <p class="lead">{texts.noShift}</p> : <Routed dock={dock} route={route} />}
    </>
  );
}

function Routed({ dock, route }: { readonly dock: Dock; readonly route: string }) {
  const [kind, id = ''] = route.split('=');
  const stay = dock.shift.stays.find(({ stayId }) => stayId === decodeURIComponent(id));
  if (kind === 'stay' && stay !== undefined) return <CheckIn key={stay.stayId} dock={dock} stay={stay} />;
  if (kind === 'leave' && stay !== undefined) return <Departure key={stay.stayId} dock={dock} stay={stay} />;
  if (kind === 'report') return <Report key={id} dock={dock} kind={id} />;
  return <List dock={dock} />;
}

function keep(
  store: PhoneStore,
  event: Parameters<PhoneStore['keepEvent']>[0],
  failed: (is: boolean) => void,
): boolean {
  try {
    store.keepEvent(event);
    return true;
  } catch {
    // The phone's storage is full or closed: the entry stays on the screen, and the page says so.
    failed(true);
    return false;
  }
}

async function guarded(load: () => Promise<Reached>, failed: (is: boolean) => void): Promise<Reached> {
  try {
    const reached = await load();
    failed(false);
    return reached;
  } catch {
    // Loaded, and the phone's storage would not take it.
    failed(true);
    return 'yes';
  }
}
