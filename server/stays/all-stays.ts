import type { Api } from '../pages/api-door.ts';
import { type StayDocument, staysSchema } from './schema.ts';

/** Every stay that a query finds, over all pages of the list. */
export async function allStays(api: Api, query: Readonly<Record<string, string>>): Promise<StayDocument[]> {
  const found: StayDocument[] = [];
  for (let cursor: string | null | undefined; cursor !== null; ) {
    const page = await api.ask('listStays', staysSchema, { query: { ...query, limit: '200', cursor } });
    found.push(...page.body.items);
    cursor = page.nextCursor;
  }
  return found;
}
