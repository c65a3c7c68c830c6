import { randomUUID } from 'node:crypto';
import { promisify } from 'node:util';
import { gzip } from 'node:zlib';
import formbody from '@fastify/formbody';
import type { FastifyInstance, FastifyReply, FastifyRequest } from 'fastify';
import { type InputError, Problem } from '../errors.ts';
import { looseParts } from '../http/json-schema.ts';
import { throwIfInvalid, validatePart } from '../http/validation.ts';
import { problemOf } from '../plugins/error-handler.ts';
import type { CountRefusal } from '../plugins/rate-limit.ts';
import type { Services } from '../services.ts';
import type { OpenApi } from './api-door.ts';
import { assets } from './assets.ts';
import { changeCookies, displayOf } from './cookies.ts';
import type { PageAnswer, PageDefinition, PageInput } from './define-page.ts';
import { type Fields, type FormState, readFields } from './fields.ts';
import { ProblemPage } from './problem-page.tsx';
import { renderPage } from './render.tsx';
import { requireSameOrigin, setPageHeaders } from './security.ts';
import { type View, viewOf } from './view.ts';

const gzipped = promisify(gzip);

interface PageServices {
  readonly services: Services;
  readonly openApi: OpenApi;
  /** Throws once an address has failed to sign in too often. */
  readonly countFailedSignIn: CountRefusal;
}

/**
 * Registers the pages in a scope of their own: only here are forms read, cookies believed and errors shown as pages.
 * Throws when a page is not sound.
 */
export async function registerPages(
  app: FastifyInstance,
  pages: readonly PageDefinition[],
  { services, openApi, countFailedSignIn }: PageServices,
): Promise<void> {
  app.get('/assets/:name', { config: { roles: 'public' } }, async (request, reply) => {
    const asset = (await assets()).at(request.url);
    if (asset === undefined) throw new Problem('not-found', 'There is no such file.');
    reply.header('cache-control', 'public, max-age=31536000, immutable');
    reply.header('vary', 'accept-encoding').type(asset.type);
    if (!/\bgzip\b/.test(request.headers['accept-encoding'] ?? '')) return reply.send(asset.bytes);
    return reply.header('content-encoding', 'gzip').send(asset.gzip);
  });
  // A worker rules the addresses beside its own: it has to lie next to the page that it keeps.
  app.get('/marinas/:marinaId/check-in-worker.js', { config: { roles: 'public' } }, async (_request, reply) => {
    const { at, script } = await assets();
    const worker = at(script('check-in-worker'));
    reply.header('cache-control', 'no-cache');
    return reply.type('text/javascript; charset=utf-8').send(worker?.bytes);
  });
  // Browsers ask for it beside documents that can name no icon.
  app.get('/favicon.ico', { config: { roles: 'public' } }, async (_request, reply) => {
    const files = await assets();
    const icon = files.at(files.icon);
    return reply.type(icon?.type ?? '').send(icon?.bytes);
  });
  await app.register(async (scope) => {
    scope.removeContentTypeParser('application/json');
    await scope.register(formbody);
    addFileForms(scope);
    scope.addHook('onRequest', async (_request, reply) => setPageHeaders(reply));
    scope.setErrorHandler(async (error, request, reply) => {
      const problem = problemOf(error);
      if (problem.status >= 500 && problem.status !== 503) request.log.error({ err: error }, 'page failed');
      return sendProblemPage(problem, request, reply, services);
    });
    for (const page of pages) registerPage(scope, page, { services, openApi, countFailedSignIn });
  });
}

function registerPage(
  scope: FastifyInstance,
  page: PageDefinition,
  { services, openApi, countFailedSignIn }: PageServices,
): void {
  const loose = [page.params, page.query].flatMap(looseParts);
  if (loose.length > 0) throw new Error(`${page.url} takes input that is not closed: ${loose.join('; ')}.`);
  if (page.roles.length === 0) throw new Error(`${page.url} declares no role.`);
  const config = { roles: page.roles, page: true } as const;
  scope.get(page.url, { config }, async (request, reply) => {
    const input = await inputOf(page, request, services, openApi, emptyForm());
    return send(await page.show(input, services), { request, reply, services, view: input.view }, 200);
  });
  if (page.actionNames.length === 0) return;
  const bodyLimit = page.bodyLimit ?? 1024 * 1024;
  scope.post(page.url, { config, bodyLimit }, async (request, reply) => {
    requireSameOrigin(request);
    const fields = readFields(request.body);
    const action = fields.text('do');
    const act = page.act(action ?? '');
    if (action === null || act === undefined) throw new Problem('invalid-input', 'The form has no such action.');
    const form: FormState = { action, fields, problem: null, key: keyOf(fields) };
    const input = await inputOf(page, request, services, openApi, form);
    try {
      return await send(await act(input, fields, services), { request, reply, services, view: input.view }, 200);
    } catch (error) {
      const problem = problemOf(error);
      if (problem.status >= 500 || problem.problem === 'not-found') throw error;
      if (problem.problem === 'unauthenticated') await countFailedSignIn(request);
      request.log.info({ problem: problem.problem, detail: problem.message }, 'form refused');
      const shown = { ...input, form: { ...form, problem, key: randomUUID() } };
      return send(await page.show(shown, services), { request, reply, services, view: input.view }, problem.status);
    }
  });
}

/** Forms with a file; the file's text stands for its field. */
function addFileForms(scope: FastifyInstance): void {
  scope.addContentTypeParser<Buffer>(
    'multipart/form-data',
    { parseAs: 'buffer' },
    async (request: FastifyRequest, bytes: Buffer) => {
      const type = request.headers['content-type'] ?? '';
      const form = await new Response(new Uint8Array(bytes), { headers: { 'content-type': type } }).formData();
      const fields: Record<string, string[]> = {};
      for (const [name, value] of form) {
        const text = typeof value === 'string' ? value : await value.text();
        fields[name] = [...(fields[name] ?? []), text];
      }
      return fields;
    },
  );
}

async function inputOf(
  page: PageDefinition,
  request: FastifyRequest,
  services: Services,
  openApi: OpenApi,
  form: FormState,
): Promise<PageInput<unknown, unknown, FastifyRequest['principal']>> {
  const errors: InputError[] = [];
  const params = validatePart({ part: 'path', schema: page.params, value: request.params }, errors);
  const query = validatePart({ part: 'query', schema: page.query, value: withoutEmpty(request.query) }, errors);
  throwIfInvalid(errors);
  return {
    principal: request.principal,
    params,
    query,
    now: services.clock(),
    api: openApi(request.principal, form.action === null ? null : form.key),
    view: await viewFor(request, services),
    form,
  };
}

/** A form that is sent by GET names all its fields, also those that were left empty. */
function withoutEmpty(query: unknown): unknown {
  if (typeof query !== 'object' || query === null) return query;
  return Object.fromEntries(Object.entries(query).filter(([, value]) => value !== ''));
}

function emptyForm(): FormState {
  return { action: null, fields: readFields(null), problem: null, key: randomUUID() };
}

function keyOf(fields: Fields): string {
  const key = fields.text('key');
  return key !== null && /^[\w-]{8,64}$/.test(key) ? key : randomUUID();
}

async function viewFor(request: FastifyRequest, { db, inventories }: Services): Promise<View> {
  const { principal } = request;
  if (principal === null) return viewOf(displayOf(request, {}), '', 'UTC');
  const { index } = await inventories.inventoryOf(db.prisma, principal.marinaId);
  const row = await db.prisma.marina.findUnique({ where: { id: principal.marinaId }, select: { display: true } });
  return viewOf(displayOf(request, row?.display), index.inventory.name, index.inventory.timeZone);
}

interface Exchange {
  readonly request: FastifyRequest;
  readonly reply: FastifyReply;
  readonly services: Services;
  readonly view: View;
}

async function send(
  answer: PageAnswer,
  { request, reply, services, view }: Exchange,
  status: number,
): Promise<FastifyReply> {
  if (answer.kind === 'redirect') {
    if (answer.cookies !== undefined) await changeCookies(answer.cookies, request, reply, services.db);
    return reply.redirect(answer.to, 303);
  }
  if (answer.kind === 'json') {
    return reply.code(status).type('application/json; charset=utf-8').serializer(JSON.stringify).send(answer.body);
  }
  if (answer.kind === 'csv') {
    const name = answer.name.replaceAll(/[^\w.-]+/g, '-');
    return reply
      .code(status)
      .header('content-disposition', `attachment; filename="${name}"`)
      .type('text/csv; charset=utf-8')
      .send(answer.text);
  }
  const text = renderPage(answer, { view, principal: request.principal, path: request.url, assets: await assets() });
  reply.code(status).type('text/html; charset=utf-8').header('vary', 'accept-encoding');
  // Secrets are shown only in answers to forms, which another site cannot have sent: those stay as they are.
  const isSmaller = request.method === 'GET' && /\bgzip\b/.test(request.headers['accept-encoding'] ?? '');
  return isSmaller ? reply.header('content-encoding', 'gzip').send(await gzipped(text)) : reply.send(text);
}

/** Shows a problem as a page; whoever is not signed in is asked to, and comes back. */
export async function sendProblemPage(
  problem: Problem,
  request: FastifyRequest,
  reply: FastifyReply,
  services: Services,
): Promise<FastifyReply> {
  if (problem.problem === 'unauthenticated' && request.method === 'GET') {
    return reply.redirect(`/sign-in?to=${encodeURIComponent(request.url)}`, 303);
  }
  setPageHeaders(reply);
  const isForeign = problem.problem === 'not-found' || problem.problem === 'unauthenticated';
  const known = isForeign ? null : request.principal;
  const view = known === null ? viewOf(displayOf(request, {}), '', 'UTC') : await viewFor(request, services);
  const body = <ProblemPage problem={problem} requestId={request.id} view={view} home={request.principal} />;
  const shown = { kind: 'page', title: problem.message, body } as const;
  const text = renderPage(shown, { view, principal: known, path: request.url, assets: await assets() });
  return reply
    .code(problem.status)
    .headers(problem.parts.headers ?? {})
    .type('text/html; charset=utf-8')
    .send(text);
}
