import { roles } from '../http/access.ts';
import { noContent } from '../http/route.ts';
import { definePage, type PageAnswer, type PageInput, seeOther } from '../pages/define-page.ts';
import type { FormState } from '../pages/fields.ts';
import { Do, Field, Form, FormProblem, Select } from '../pages/parts/form.tsx';
import { Table } from '../pages/parts/table.tsx';
import { dayText, type View } from '../pages/view.ts';
import { newTokenSchema, tokensSchema } from '../tokens/token-document.ts';
import { userSchema, usersSchema } from './user-document.ts';

type Input = PageInput<{ readonly marinaId: string }, unknown, unknown>;

/** Who signs in, and which devices and programs have a token. */
export const peoplePage = definePage({
  url: '/marinas/:marinaId/people',
  roles: ['manager'],
  show: (input) => showPeople(input, null),
  actions: {
    createUser: async ({ api, params }, fields) => {
      const [login, name, role] = ['login', 'name', 'role'].map((field) => fields.text(field) ?? '');
      const password = fields.all('password')[0] ?? '';
      await api.ask('createUser', userSchema, { body: { login, name, role, password } });
      return seeOther(`/marinas/${params.marinaId}/people`);
    },
    setPassword: async ({ api, params }, fields) => {
      const password = fields.all('password')[0] ?? '';
      const asked = { params: { userId: fields.text('userId') ?? '' }, body: { password } };
      await api.ask('setUserPassword', noContent, asked);
      return seeOther(`/marinas/${params.marinaId}/people`);
    },
    closeUser: async ({ api, params }, fields) => {
      await api.ask('closeUser', noContent, { params: { userId: fields.text('userId') ?? '' } });
      return seeOther(`/marinas/${params.marinaId}/people`);
    },
    createToken: async (input, fields) => {
      const body = { name: fields.text('tokenName') ?? '', role: fields.text('tokenRole') ?? '' };
      const { body: created } = await input.api.ask('createToken', newTokenSchema, { body });
      return showPeople(input, created.token);
    },
    revokeToken: async ({ api, params }, fields) => {
      await api.ask('revokeToken', noContent, { params: { tokenId: fields.text('tokenId') ?? '' } });
      return seeOther(`/marinas/${params.marinaId}/people`);
    },
  },
});

async function showPeople({ api, view, form }: Input, token: string | null): Promise<PageAnswer> {
  const { body: users } = await api.ask('listUsers', usersSchema, { query: { limit: '200' } });
  const { body: tokens } = await api.ask('listTokens', tokensSchema, { query: { limit: '200' } });
  const { manage, common } = view.texts;
  const open = users.items.filter(({ closedAt }) => closedAt === null);
  const valid = tokens.items.filter(({ revokedAt }) => revokedAt === null);
  return {
    kind: 'page',
    section: 'people',
    title: manage.people,
    body: (
      <>
        <h1>{manage.people}</h1>
        <FormProblem form={form} view={view} />
        {token !== null && (
          <p class="done" role="status">
            {manage.tokenIs(token)}
          </p>
        )}
        <h2>{manage.users}</h2>
        <Table
          caption={manage.users}
          rows={open}
          keyOf={(user) => user.id}
          empty={manage.noUsers}
          columns={[
            { head: manage.name, heads: true, cell: ({ name }) => name },
            { head: manage.login, cell: ({ login }) => login },
            { head: manage.role, cell: ({ role }) => common.roles[role] },
            { head: manage.since, cell: ({ createdAt }) => dayText(view, createdAt) },
            {
              head: manage.close,
              cell: ({ id }) => (
                <OneAction form={form} view={view} field="userId" id={id} action="closeUser" words={manage.close} />
              ),
            },
          ]}
        />
        <h3>{manage.newUser}</h3>
        <Form form={form} view={view} label={manage.newUser}>
          <div class="side-by-side">
            <Field form={form} name="name" label={manage.name} />
            <Field form={form} name="login" label={manage.login} />
            <Select form={form} name="role" label={manage.role} value="dockhand" options={roleOptions(view)} />
            <Field
              form={form}
              name="password"
              type="password"
              autocomplete="new-password"
              label={manage.password}
              hint={manage.passwordHint}
            />
          </div>
          <Do action="createUser">{manage.create}</Do>
        </Form>
        {open.length > 0 && (
          <details>
            <summary>{manage.newPassword}</summary>
            <Form form={form} view={view} label={manage.newPassword}>
              <div class="side-by-side">
                <Select
                  form={form}
                  name="userId"
                  label={manage.name}
                  options={open.map(({ id, name, login }) => [id, `${name} (${login})`])}
                />
                <p class="field">
                  <label for="f-new-password">{manage.newPassword}</label>
                  <input id="f-new-password" name="password" type="password" autocomplete="new-password" />
                </p>
              </div>
              <Do action="setPassword" kind="second">
                {common.save}
              </Do>
            </Form>
          </details>
        )}
        <h2>{manage.tokens}</h2>
        <Table
          caption={manage.tokens}
          rows={valid}
          keyOf={({ id }) => id}
          empty={manage.noTokens}
          columns={[
            { head: manage.name, heads: true, cell: ({ name }) => name },
            { head: manage.role, cell: ({ role }) => common.roles[role] },
            { head: manage.since, cell: ({ createdAt }) => dayText(view, createdAt) },
            {
              head: manage.revoke,
              cell: ({ id }) => (
                <OneAction form={form} view={view} field="tokenId" id={id} action="revokeToken" words={manage.revoke} />
              ),
            },
          ]}
        />
        <h3>{manage.newToken}</h3>
        <Form form={form} view={view} label={manage.newToken}>
          <div class="side-by-side">
            <Field form={form} name="tokenName" label={manage.name} />
            <Select form={form} name="tokenRole" label={manage.role} value="viewer" options={roleOptions(view)} />
          </div>
          <Do action="createToken" kind="second">
            {manage.create}
          </Do>
        </Form>
      </>
    ),
  };
}

interface OneActionProps {
  readonly form: FormState;
  readonly view: View;
  readonly field: string;
  readonly id: string;
  readonly action: string;
  readonly words: string;
}

function OneAction({ form, view, field, id, action, words }: OneActionProps) {
  return (
    <Form form={form} view={view}>
      <input type="hidden" name={field} value={id} />
      <Do action={action} kind="quiet">
        {words}
      </Do>
    </Form>
  );
}

function roleOptions(view: View): [string, string][] {
  return roles.map((role) => [role, view.texts.common.roles[role]]);
}
