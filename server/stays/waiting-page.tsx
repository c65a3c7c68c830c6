import { everyRole } from '../http/access.ts';
import { definePage } from '../pages/define-page.ts';
import { waitingListSchema } from './waiting-list.ts';
import { WaitingTable } from './waiting-parts.tsx';

/** Who waits for a berth, in the order in which they are served, and what each fits now. */
export const waitingPage = definePage({
  url: '/marinas/:marinaId/waiting',
  roles: everyRole,
  show: async ({ api, view, form, params }) => {
    const { body } = await api.ask('listWaitingStays', waitingListSchema);
    const { desk } = view.texts;
    return {
      kind: 'page',
      section: 'day',
      title: desk.waiting,
      body: (
        <>
          <h1>{desk.waiting}</h1>
          <p class="lead">{desk.waitingLead}</p>
          <WaitingTable
            view={view}
            form={form}
            base={`/marinas/${params.marinaId}`}
            waiting={body.items}
            mayOffer={api.allows('offerStay')}
          />
        </>
      ),
    };
  },
});
