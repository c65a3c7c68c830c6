import type { Finding } from '../core/findings.ts';

/**
 * Every error the service can answer with (RFC 9457). The list is closed: a client may rely on it, and a test counts it.
 * `advice` says what a caller can do; it is shown at `/problems/<name>`, the problem's type.
 */
export const problems = {
  'invalid-input': { status: 400, title: 'The request is not valid', advice: 'Correct the fields named in "errors".' },
  'invalid-json': { status: 400, title: 'The body is not JSON', advice: 'Send one JSON document in UTF-8.' },
  unauthenticated: {
    status: 401,
    title: 'No valid token',
    advice: 'Send "Authorization: Bearer <token>" with a token that is not revoked.',
  },
  forbidden: { status: 403, title: 'The role of this token may not do this', advice: 'Use a token of a role listed.' },
  'not-found': { status: 404, title: 'There is no such thing', advice: 'Check the ids in the path.' },
  'method-not-allowed': { status: 405, title: 'The path has no such method', advice: 'Use a method of "Allow".' },
  'double-use': {
    status: 409,
    title: 'The space, the outlet or the boat is already taken for that period',
    advice: 'Choose another berth, outlet or period; read the options again.',
  },
  refused: {
    status: 409,
    title: 'The rules refuse this',
    advice: 'Read "findings": each names its rule, the limit and what would mend it.',
  },
  'wrong-state': {
    status: 409,
    title: 'The state of the thing does not allow this',
    advice: 'Read the thing again and act on its present state.',
  },
  'already-exists': {
    status: 409,
    title: 'There is one already',
    advice: 'Use another id or label, or change that one.',
  },
  'in-use': {
    status: 409,
    title: 'The thing is in use',
    advice: 'Release what uses it first, or retire it from a later date.',
  },
  'request-running': {
    status: 409,
    title: 'A request with this Idempotency-Key is still running',
    advice: 'Wait a second and send the same request again.',
  },
  'stale-version': {
    status: 412,
    title: 'The thing has changed since it was read',
    advice: 'Read it again, look at what changed, and send the change with its new ETag.',
  },
  'body-too-large': { status: 413, title: 'The body is too large', advice: 'Send less in one request.' },
  'path-too-long': { status: 414, title: 'The path is too long', advice: 'Shorten the path.' },
  'unsupported-media-type': {
    status: 415,
    title: 'The body is of an unknown kind',
    advice: 'Send "Content-Type: application/json".',
  },
  'key-reused': {
    status: 422,
    title: 'The Idempotency-Key was used for another request',
    advice: 'Use a new key for a new request.',
  },
  'faulty-document': {
    status: 422,
    title: 'The document contradicts itself',
    advice: 'Correct every fault named in "errors"; nothing was stored.',
  },
  'version-required': {
    status: 428,
    title: 'The change must name the version it is based on',
    advice: 'Send "If-Match" with the ETag of the last read.',
  },
  'too-many-requests': { status: 429, title: 'Too many requests', advice: 'Wait as long as "Retry-After" says.' },
  'header-too-large': { status: 431, title: 'The headers are too large', advice: 'Send fewer or shorter headers.' },
  internal: {
    status: 500,
    title: 'The service failed',
    advice: 'Try again; if it stays, give "requestId" to whoever runs the service.',
  },
  busy: { status: 503, title: 'The service is busy', advice: 'Send the same request again after "Retry-After".' },
  unavailable: {
    status: 503,
    title: 'The service is starting or stopping',
    advice: 'Send the same request again after "Retry-After".',
  },
} as const satisfies Record<string, { status: number; title: string; advice: string }>;

export type ProblemName = keyof typeof problems;

/** One fault of the input: where (JSON Pointer, RFC 6901, into that part of the request) and what. */
export interface InputError {
  readonly in: 'body' | 'query' | 'path' | 'header';
  readonly pointer: string;
  readonly message: string;
}

export interface ProblemParts {
  readonly errors?: readonly InputError[];
  /** Why the rules refuse, as core judged it. */
  readonly findings?: readonly Finding[];
  /** What could be done instead, in the form of the route that answers. */
  readonly alternatives?: readonly unknown[];
  readonly headers?: Readonly<Record<string, string>>;
}

/** Thrown anywhere in the server to answer with a problem. `detail` names the thing, its value, its limit, what to do. */
export class Problem extends Error {
  override readonly name = 'Problem';
  readonly problem: ProblemName;
  readonly parts: ProblemParts;

  constructor(problem: ProblemName, detail: string, parts: ProblemParts = {}) {
    super(detail);
    this.problem = problem;
    this.parts = parts;
  }

  get status(): number {
    return problems[this.problem].status;
  }
}

/** The document of RFC 9457. */
export interface ProblemDocument {
  readonly type: string;
  readonly title: string;
  readonly status: number;
  readonly detail: string;
  readonly requestId: string;
  readonly errors?: readonly InputError[];
  readonly findings?: readonly Finding[];
  readonly alternatives?: readonly unknown[];
}

export function problemDocument(problem: Problem, requestId: string): ProblemDocument {
  const { status, title } = problems[problem.problem];
  const { headers: _, ...parts } = problem.parts;
  return { type: `/problems/${problem.problem}`, title, status, detail: problem.message, requestId, ...parts };
}
