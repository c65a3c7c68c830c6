import { z } from 'zod';
import { Problem } from '../errors.ts';
import type { Principal } from '../http/access.ts';
import { id } from '../http/fields.ts';
import { displaySchema } from '../marinas/display.ts';
import { definePublicPage, type PageDefinition, seeOther } from '../pages/define-page.ts';
import { homeOf } from '../pages/navigation.ts';
import { Choice, Do, Field, Form, FormProblem } from '../pages/parts/form.tsx';
import { hashToken } from '../plugins/authentication.ts';
import type { Services } from '../services.ts';
import { isPassword } from '../users/password.ts';
import { openSession } from './sessions.ts';

/** Only a path of this service: a link must not lead elsewhere. */
const ownPath = z
  .string()
  .max(2_000)
  .regex(/^\/(?![/\\])/);
const comeBack = z.strictObject({ to: ownPath.optional(), marina: id.optional(), out: z.literal('1').optional() });

const signInPage = definePublicPage({
  url: '/sign-in',
  query: comeBack,
  show: async ({ view, form, query }, services) => {
    const { signIn } = view.texts;
    const marina = query.marina ?? /^\/marinas\/([^/?]+)/.exec(query.to ?? '')?.[1] ?? (await onlyMarina(services));
    return {
      kind: 'page',
      title: signIn.title,
      body: (
        <div class="narrow">
          <h1>{signIn.title}</h1>
          {query.out && form.problem === null && <p class="lead">{signIn.signedOut}</p>}
          <FormProblem form={form} view={view} />
          <Form form={form} view={view}>
            <Field form={form} name="marina" label={signIn.marina} hint={signIn.marinaHint} value={marina} />
            <Field form={form} name="login" label={signIn.login} autocomplete="username" />
            <Field
              form={form}
              name="password"
              label={signIn.password}
              type="password"
              autocomplete="current-password"
            />
            <Do action="password">{signIn.submit}</Do>
          </Form>
          <details open={form.action === 'token'}>
            <summary>{signIn.byToken}</summary>
            <Form form={form} view={view}>
              <Field form={form} name="token" label={signIn.token} hint={signIn.tokenHint} type="password" />
              <Do action="token">{signIn.submitToken}</Do>
            </Form>
          </details>
        </div>
      ),
    };
  },
  actions: {
    password: async ({ view, now, query }, fields, { db }) => {
      const [marinaId, login] = [fields.text('marina'), fields.text('login')?.toLowerCase()];
      const user =
        marinaId === null || login === undefined
          ? null
          : await db.prisma.userAccount.findFirst({ where: { marinaId, login, closedAt: null } });
      const isRight = await isPassword(fields.all('password')[0] || ' ', user?.passwordHash ?? null);
      if (user === null || !isRight) throw new Problem('unauthenticated', view.texts.signIn.wrong);
      const session = await openSession(db, user.marinaId, { userId: user.id }, now);
      return { ...seeOther(query.to ?? `/marinas/${user.marinaId}`), cookies: { session } };
    },
    token: async ({ view, now, query }, fields, { db }) => {
      const hash = hashToken(fields.text('token') ?? '');
      const token = await db.prisma.token.findFirst({ where: { hash, revokedAt: null } });
      if (token === null) throw new Problem('unauthenticated', view.texts.signIn.wrongToken);
      const session = await openSession(db, token.marinaId, { tokenId: token.id }, now);
      return { ...seeOther(query.to ?? `/marinas/${token.marinaId}`), cookies: { session } };
    },
  },
});

/** Spares the id where there is but one marina. */
async function onlyMarina({ db }: Services): Promise<string> {
  const marinas = await db.prisma.marina.findMany({ select: { id: true }, take: 2 });
  return marinas.length === 1 ? (marinas[0]?.id ?? '') : '';
}

const signOutPage = definePublicPage({
  url: '/sign-out',
  show: async () => seeOther('/sign-in'),
  actions: { out: async () => ({ ...seeOther('/sign-in?out=1'), cookies: { session: null } }) },
});

const startPage = definePublicPage({
  url: '/',
  show: async ({ principal }) => seeOther(principal === null ? '/sign-in' : homePath(principal)),
});

const marinaPage = definePublicPage({
  url: '/marinas/:marinaId',
  params: z.strictObject({ marinaId: id }),
  show: async ({ principal, params }) => {
    if (principal === null) return seeOther(`/sign-in?marina=${params.marinaId}`);
    if (principal.marinaId !== params.marinaId) throw new Problem('not-found', 'There is no such marina.');
    return seeOther(homePath(principal));
  },
});

function homePath({ marinaId, role }: Principal): string {
  return `/marinas/${marinaId}/${homeOf(role)}`;
}

const displayPage = definePublicPage({
  url: '/display',
  query: comeBack,
  show: async ({ view, form, api }) => {
    const { signIn, common } = view.texts;
    return {
      kind: 'page',
      title: signIn.displayTitle,
      body: (
        <div class="narrow">
          <h1>{signIn.displayTitle}</h1>
          <p class="lead">{signIn.displayLead}</p>
          <FormProblem form={form} view={view} />
          <Form form={form} view={view}>
            <Choice
              form={form}
              name="lengths"
              label={signIn.lengths}
              value={view.lengths}
              options={[
                ['feet', signIn.feet],
                ['metres', signIn.metres],
              ]}
            />
            <Choice
              form={form}
              name="clock"
              label={signIn.clock}
              value={view.clock}
              options={[
                ['12', signIn.clock12],
                ['24', signIn.clock24],
              ]}
            />
            {api.allows('putDisplay') && (
              <p>
                <label>
                  <input type="checkbox" name="forMarina" value="1" /> {signIn.forMarina}
                </label>
              </p>
            )}
            <Do action="save">{common.save}</Do>
          </Form>
        </div>
      ),
    };
  },
  actions: {
    save: async ({ query, api }, fields) => {
      const display = displaySchema.parse({ lengths: fields.text('lengths'), clock: fields.text('clock') });
      if (fields.has('forMarina')) await api.ask('putDisplay', displaySchema, { body: display });
      return { ...seeOther(query.to ?? '/'), cookies: { display } };
    },
  },
});

export const signInPages: readonly PageDefinition[] = [startPage, marinaPage, signInPage, signOutPage, displayPage];
