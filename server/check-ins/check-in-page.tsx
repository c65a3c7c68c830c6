import { z } from 'zod';
import { Problem } from '../errors.ts';
import { id } from '../http/fields.ts';
import { definePage, json } from '../pages/define-page.ts';
import { Cautions } from '../pages/parts/cautions.tsx';
import { dockEventSchema } from './schema.ts';
import { shiftSchema } from './shift.ts';
import type { ShiftDocument } from './shift-document.ts';

/**
 * The dockhand's page. It is drawn on the phone, from the shift that the phone keeps, so that it works without a network;
 * the service gives it the shift and takes its events, by the API's own operations.
 */
export const checkInPage = definePage({
  url: '/marinas/:marinaId/check-in',
  roles: ['harbormaster', 'dockhand'],
  show: async ({ principal, view }) => ({
    kind: 'page',
    section: 'checkIn',
    title: view.texts.checkIn.title,
    scripts: ['check-in'],
    body: (
      <>
        <h1>{view.texts.checkIn.title}</h1>
        <div
          id="check-in"
          data-marina={principal.marinaId}
          data-lengths={view.lengths}
          data-clock={view.clock}
          data-time-zone={view.timeZone}
        >
          <noscript>
            <p>{view.texts.checkIn.needsScript}</p>
          </noscript>
        </div>
        <Cautions view={view} />
      </>
    ),
  }),
  bodyLimit: 512 * 1024,
  actions: {
    shift: async ({ api }) => {
      const { body } = await api.ask('readShift', shiftSchema, { query: { hours: '12' } });
      const shift: ShiftDocument = body;
      return json({ shift });
    },
    send: async ({ api }, fields) => {
      const eventId = id.safeParse(fields.text('id') ?? '');
      const body = parsed(fields.text('event') ?? '');
      if (!eventId.success || body === undefined) return json({ problem: 'The entry cannot be read.' });
      try {
        const answer = await api.ask('recordDockEvent', dockEventSchema, {
          params: { eventId: eventId.data },
          body,
        });
        const { outcome, contradictions } = answer.body;
        return json({ stored: { outcome, contradictions: contradictions.map(({ message }) => message) } });
      } catch (error) {
        // What cannot be stored as it is must be told apart from what can be sent again later.
        if (!(error instanceof Problem) || error.status >= 500 || error.status === 429) throw error;
        const faults = (error.parts.errors ?? []).map(({ pointer, message }) => `${pointer}: ${message}`);
        return json({ problem: [error.message, ...faults].join(' ') });
      }
    },
  },
});

function parsed(text: string): unknown {
  const document = z
    .string()
    .transform((value, context) => {
      try {
        return JSON.parse(value) as unknown;
      } catch {
        context.addIssue({ code: 'custom', message: 'no JSON' });
        return z.NEVER;
      }
    })
    .safeParse(text);
  return document.success ? document.data : undefined;
}
