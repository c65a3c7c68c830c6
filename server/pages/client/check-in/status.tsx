import { type Dock, texts } from './context.ts';
import type { PhoneStore } from './phone-store.ts';
import type { Reached, Sent } from './sync.ts';

interface StatusProps {
  readonly store: PhoneStore;
  readonly dock: Dock | null;
  readonly reached: Reached | null;
  readonly isLoading: boolean;
  readonly sent: readonly Sent[];
  readonly reloads: boolean | null;
  readonly cannotKeep: boolean;
  readonly onLoad: () => void;
  readonly onSend: () => void;
  readonly onChange: () => void;
}

/** What the phone knows, what waits on it, and whether there is a network. */
export function Status(props: StatusProps) {
  const { store, dock, reached, isLoading, sent, reloads, cannotKeep, onLoad, onSend, onChange } = props;
  const queue = store.queue();
  const waiting = queue.filter(({ notTaken }) => notTaken === null);
  const isExpired = dock !== null && dock.now >= Date.parse(dock.shift.holdsUntil);
  return (
    <section class="check-in-status" aria-label={texts.online}>
      <p role="status">
        <strong>{waiting.length === 0 ? texts.allSent : texts.waiting(waiting.length)}</strong>{' '}
        {reached === 'no' && texts.offline}
      </p>
      {reached === 'signedOut' && (
        <p class="fault">
          {texts.signInAgain} <a href={`/sign-in?to=${encodeURIComponent(location.pathname)}`}>{texts.signIn}</a>
        </p>
      )}
      {cannotKeep && <p class="fault">{texts.cannotKeep}</p>}
      {dock !== null && (
        <p class={isExpired ? 'fault' : undefined}>
          {texts.loadedUntil(dock.time(dock.shift.loadedAt), dock.time(dock.shift.holdsUntil))}{' '}
          {isExpired && texts.expired}
        </p>
      )}
      <div class="actions">
        <button type="button" onClick={onLoad} disabled={isLoading}>
          {isLoading ? texts.loading : texts.load}
        </button>
        {waiting.length > 0 && (
          <button type="button" class="second" onClick={onSend}>
            {texts.sendNow}
          </button>
        )}
      </div>
      {queue.some(({ notTaken }) => notTaken !== null) && (
        <ul class="plain">
          {queue
            .filter(({ notTaken }) => notTaken !== null)
            .map(({ id, title, notTaken }) => (
              <li key={id}>
                <strong>{title}</strong> <span class="fault">{texts.notTaken(notTaken ?? '')}</span>{' '}
                <button
                  type="button"
                  class="quiet"
                  onClick={() => {
                    store.dropEvent(id);
                    onChange();
                  }}
                >
                  {texts.discard}
                </button>
              </li>
            ))}
        </ul>
      )}
      {sent.length > 0 && (
        <ul class="plain small">
          {sent.map(({ title, outcome, contradictions }) => (
            <li key={title}>
              {title}
              {outcome !== null && `: ${texts.outcomes[outcome as keyof typeof texts.outcomes]}`}
              {contradictions.map((message) => (
                <span key={message} class="contradiction">
                  {message}
                </span>
              ))}
            </li>
          ))}
        </ul>
      )}
      <p class="small">
        {reloads === true && texts.reloads}
        {reloads === false && texts.reloadsNot}{' '}
        {dock !== null && (
          <button
            type="button"
            class="quiet"
            onClick={() => {
              store.forget();
              onChange();
            }}
          >
            {texts.forget}
          </button>
        )}
      </p>
    </section>
  );
}
