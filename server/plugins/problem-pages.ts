import type { FastifyInstance } from 'fastify';
import { Problem, problems } from '../errors.ts';

/** Every problem's `type` is a path that explains it (RFC 9457, 3.1.1). */
export function addProblemPages(app: FastifyInstance): void {
  app.get<{ Params: { name: string } }>('/problems/:name', { config: { roles: 'public' } }, async (request) => {
    const entry = Object.entries(problems).find(([name]) => name === request.params.name);
    if (entry === undefined) throw new Problem('not-found', 'There is no problem of that name.');
    const [name, { title, status, advice }] = entry;
    return { type: `/problems/${name}`, title, status, advice };
  });
}
