import type { FastifyInstance } from 'fastify';

interface Seen {
  readonly status: number;
  readonly headers: Readonly<Record<string, string | string[] | number | undefined>>;
  readonly location: string | undefined;
  readonly text: string;
}

/** A browser without scripts: it keeps cookies, and names the origin of the forms that it sends. */
export interface Browsing {
  get(path: string): Promise<Seen>;
  /** `origin`: null sends none. */
  post(
    path: string,
    fields: Readonly<Record<string, string | readonly string[]>>,
    origin?: string | null,
  ): Promise<Seen>;
  /** Another one with the same cookies. */
  copy(): Browsing;
}

const host = 'quay.test';

export function browse(app: FastifyInstance, cookies: Readonly<Record<string, string>> = {}): Browsing {
  const jar = new Map(Object.entries(cookies));
  const send = async (method: 'GET' | 'POST', url: string, headers: Record<string, string>, payload?: string) => {
    const cookie = [...jar].map(([name, value]) => `${name}=${value}`).join('; ');
    const answer = await app.inject({
      method,
      url,
      headers: { host, accept: 'text/html', ...(cookie === '' ? {} : { cookie }), ...headers },
      ...(payload === undefined ? {} : { payload }),
    });
    for (const { name, value, maxAge, expires } of answer.cookies) {
      if (maxAge === 0 || (expires !== undefined && expires.getTime() <= Date.now())) jar.delete(name);
      else jar.set(name, value);
    }
    const { location } = answer.headers;
    return { status: answer.statusCode, headers: answer.headers, location: location?.toString(), text: answer.payload };
  };
  return {
    get: (path) => send('GET', path, {}),
    post: (path, fields, origin = `http://${host}`) => {
      const body = new URLSearchParams(
        Object.entries(fields).flatMap(([name, value]) => [value].flat().map((each): [string, string] => [name, each])),
      );
      const type = { 'content-type': 'application/x-www-form-urlencoded' };
      return send('POST', path, { ...type, ...(origin === null ? {} : { origin }) }, body.toString());
    },
    copy: () => browse(app, Object.fromEntries(jar)),
  };
}
