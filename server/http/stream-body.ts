import type { FastifyInstance } from 'fastify';
import { Problem } from '../errors.ts';
import { streamTypes } from './route.ts';

/** Hands bodies of lines over as they come, to the routes that declare `streams`; anywhere else they are refused. */
export function addStreamBody(app: FastifyInstance): void {
  app.addContentTypeParser([...streamTypes], (request, payload, done) => {
    const { streams } = request.routeOptions.config;
    const type = request.headers['content-type']?.split(';')[0]?.trim().toLowerCase() ?? '';
    if (streams?.some((each) => each === type)) done(null, payload);
    else done(new Problem('unsupported-media-type', 'Send "Content-Type: application/json".'));
  });
}
