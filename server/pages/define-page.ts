import type { ComponentChild } from 'preact';
import { z } from 'zod';
import type { Principal, Role } from '../http/access.ts';
import { marinaParams } from '../http/fields.ts';
import type { Services } from '../services.ts';
import type { Api } from './api-door.ts';
import type { ScriptName } from './assets.ts';
import type { CookieChange } from './cookies.ts';
import type { Fields, FormState } from './fields.ts';
import type { SectionId } from './navigation.ts';
import type { View } from './view.ts';

/** What a page or an action answers. */
export type PageAnswer =
  | {
      readonly kind: 'page';
      readonly title: string;
      readonly body: ComponentChild;
      /** The section that it belongs to. */
      readonly section?: SectionId;
      readonly scripts?: readonly ScriptName[];
      /** Sheets and drawings take the whole width. */
      readonly wide?: boolean;
    }
  | { readonly kind: 'redirect'; readonly to: string; readonly cookies?: CookieChange }
  | { readonly kind: 'json'; readonly body: unknown }
  /** A text to keep: the browser saves it under the name. */
  | { readonly kind: 'csv'; readonly name: string; readonly text: string };

export const seeOther = (to: string) => ({ kind: 'redirect', to }) as const;
export const json = (body: unknown): PageAnswer => ({ kind: 'json', body });

/** What a page is made from. It reads and writes by the API alone. */
export interface PageInput<Params, Query, Who> {
  readonly principal: Who;
  readonly params: Params;
  readonly query: Query;
  /** Epoch milliseconds. */
  readonly now: number;
  readonly api: Api;
  readonly view: View;
  /** The form as it is to be shown. */
  readonly form: FormState;
}

type Show<Params, Query, Who> = (input: PageInput<Params, Query, Who>, services: Services) => Promise<PageAnswer>;
type Act<Params, Query, Who> = (
  input: PageInput<Params, Query, Who>,
  fields: Fields,
  services: Services,
) => Promise<PageAnswer>;

interface PageShape<Params extends z.ZodType, Query extends z.ZodType, Who> {
  /** `/marinas/:marinaId/day`. */
  readonly url: string;
  readonly params?: Params;
  /** Strict: unknown fields are refused. */
  readonly query?: Query;
  readonly show: Show<z.output<Params>, z.output<Query>, Who>;
  /**
   * What forms of the page can do, by the value of the button named `do`. A Problem shows the page again with what was
   * sent and what was wrong. The API's own roles decide who may do it.
   */
  readonly actions?: Readonly<Record<string, Act<z.output<Params>, z.output<Query>, Who>>>;
  readonly bodyLimit?: number;
}

/** A page as the service registers it. */
export interface PageDefinition {
  readonly url: string;
  readonly roles: readonly Role[] | 'public';
  readonly params: z.ZodType;
  readonly query: z.ZodType;
  readonly actionNames: readonly string[];
  readonly bodyLimit: number | undefined;
  readonly show: Show<unknown, unknown, Principal | null>;
  readonly act: (name: string) => Act<unknown, unknown, Principal | null> | undefined;
}

const noQuery = z.strictObject({});

/**
 * Declares a page for people of the named roles who are signed in to its marina; others get 404.
 *
 * @example
 * const dayPage = definePage({
 *   url: '/marinas/:marinaId/day', roles: everyRole,
 *   show: async ({ api, view }) => {
 *     const { body } = await api.ask('listArrivals', arrivalsSchema);
 *     return { kind: 'page', section: 'day', title: view.texts.desk.day, body: <Arrivals day={body} view={view} /> };
 *   },
 *   actions: { arrive: async ({ api, principal }, fields) => { ...; return seeOther(`/marinas/${principal.marinaId}/day`); } },
 * });
 */
export function definePage<Params extends z.ZodType = typeof marinaParams, Query extends z.ZodType = typeof noQuery>(
  page: PageShape<Params, Query, Principal> & { readonly roles: readonly Role[] },
): PageDefinition {
  return definition(page, page.roles, page.params ?? marinaParams);
}

/** Declares a page that anybody may open: signing in, and what a link alone gives access to. */
export function definePublicPage<Params extends z.ZodType = typeof noQuery, Query extends z.ZodType = typeof noQuery>(
  page: PageShape<Params, Query, Principal | null>,
): PageDefinition {
  return definition(page, 'public', page.params ?? noQuery);
}

function definition<Params extends z.ZodType, Query extends z.ZodType, Who>(
  page: PageShape<Params, Query, Who>,
  roles: PageDefinition['roles'],
  params: z.ZodType,
): PageDefinition {
  const actions = page.actions ?? {};
  // The registrar hands over only what these schemas let through, and a principal wherever the page has roles.
  return {
    url: page.url,
    roles,
    params,
    query: page.query ?? noQuery,
    actionNames: Object.keys(actions),
    bodyLimit: page.bodyLimit,
    show: page.show as PageDefinition['show'],
    act: (name) => (Object.hasOwn(actions, name) ? (actions[name] as ReturnType<PageDefinition['act']>) : undefined),
  };
}
