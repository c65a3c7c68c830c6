import type { ServerResponse } from 'node:http';
import type { FastifyInstance, FastifyReply, FastifyRequest } from 'fastify';
import { problemOfDatabaseError } from '../db/database-errors.ts';
import { Problem, type ProblemName, problemDocument } from '../errors.ts';

const contentType = 'application/problem+json; charset=utf-8';

/** Shows a problem to a person. */
type ShowProblem = (problem: Problem, request: FastifyRequest, reply: FastifyReply) => Promise<FastifyReply>;

/**
 * Answers every error as a problem document. What nobody foresaw is logged whole and said as 500 with an id. A browser
 * that asks for a page that is not there is shown one that says so.
 */
export function addErrorHandler(app: FastifyInstance, showProblem: ShowProblem): void {
  const methodsByPath: { readonly pattern: RegExp; readonly methods: Set<string> }[] = [];
  app.addHook('onRoute', ({ url, method }) => {
    const pattern = pathPattern(url);
    const known = methodsByPath.find((path) => path.pattern.source === pattern.source);
    const methods = known?.methods ?? new Set();
    for (const each of [method].flat()) methods.add(each);
    if (known === undefined) methodsByPath.push({ pattern, methods });
  });

  app.setErrorHandler((error, request, reply) => {
    const problem = problemOf(error);
    if (problem.status >= 500 && problem.status !== 503) request.log.error({ err: error }, 'request failed');
    else request.log.info({ problem: problem.problem, detail: problem.message }, 'request refused');
    return sendProblem(request, reply, problem);
  });

  app.setNotFoundHandler((request, reply) => {
    const path = request.url.split('?')[0] ?? '';
    const methods = methodsByPath.find(({ pattern }) => pattern.test(path))?.methods;
    if (methods === undefined) {
      const wantsPage = !path.startsWith('/v1') && (request.headers.accept ?? '').includes('text/html');
      if (wantsPage) return showProblem(new Problem('not-found', 'There is no such page.'), request, reply);
      return sendProblem(request, reply, new Problem('not-found', 'There is nothing at this path.'));
    }
    const allow = [...methods].join(', ');
    const problem = new Problem('method-not-allowed', `Use one of: ${allow}.`, { headers: { allow } });
    return sendProblem(request, reply, problem);
  });
}

export function sendProblem(request: FastifyRequest, reply: FastifyReply, problem: Problem): FastifyReply {
  return reply
    .code(problem.status)
    .headers(problem.parts.headers ?? {})
    .type(contentType)
    .serializer(JSON.stringify)
    .send(problemDocument(problem, request.id));
}

/** The same answer where Fastify offers only the bare response. */
export function sendRawProblem(error: unknown, requestId: string, response: ServerResponse): void {
  const problem = problemOf(error);
  response.writeHead(problem.status, { 'content-type': contentType, 'x-request-id': requestId });
  response.end(JSON.stringify(problemDocument(problem, requestId)));
}

/** The problem that an error is. */
export function problemOf(error: unknown): Problem {
  if (error instanceof Problem) return error;
  return problemOfDatabaseError(error) ?? problemOfFastify(error) ?? new Problem('internal', 'It has been logged.');
}

const fastifyProblems: Readonly<Record<string, ProblemName>> = {
  FST_ERR_CTP_BODY_TOO_LARGE: 'body-too-large',
  FST_ERR_CTP_INVALID_MEDIA_TYPE: 'unsupported-media-type',
  FST_ERR_CTP_EMPTY_JSON_BODY: 'invalid-json',
  FST_ERR_CTP_INVALID_JSON_BODY: 'invalid-json',
  FST_ERR_CTP_INVALID_CONTENT_LENGTH: 'invalid-input',
  FST_ERR_BAD_URL: 'invalid-input',
  FST_ERR_MAX_PARAM_LENGTH: 'path-too-long',
};

function problemOfFastify(error: unknown): Problem | null {
  if (!(error instanceof Error)) return null;
  const code = 'code' in error && typeof error.code === 'string' ? error.code : '';
  const name = fastifyProblems[code] ?? (error instanceof SyntaxError ? 'invalid-json' : undefined);
  if (name === 'unsupported-media-type') {
    return new Problem(name, 'Send JSON with the header "Content-Type: application/json".');
  }
  if (name !== undefined) return new Problem(name, `${error.message}.`.replace(/\.\.$/, '.'));
  const status = 'statusCode' in error && typeof error.statusCode === 'number' ? error.statusCode : 500;
  return status >= 400 && status < 500 ? new Problem('invalid-input', 'The request cannot be read.') : null;
}

function pathPattern(url: string): RegExp {
  const source = url
    .split('/')
    .map((part) =>
      part.startsWith(':') ? '[^/]+' : part === '*' ? '.*' : part.replaceAll(/[.*+?^${}()|[\]\\]/g, '\\$&'),
    )
    .join('/');
  return new RegExp(`^${source}$`);
}
