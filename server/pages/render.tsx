import { renderToString } from 'preact-render-to-string';
import type { Principal } from '../http/access.ts';
import type { Assets } from './assets.ts';
import type { PageAnswer } from './define-page.ts';
import { Layout } from './layout.tsx';
import type { View } from './view.ts';

interface Around {
  readonly view: View;
  readonly principal: Principal | null;
  /** Path and query of the page itself. */
  readonly path: string;
  readonly assets: Assets;
}

/** The whole document. Text from data is escaped by the renderer; nothing here is raw. */
export function renderPage(page: Extract<PageAnswer, { kind: 'page' }>, around: Around): string {
  return `<!doctype html>${renderToString(<Layout page={page} {...around} />)}`;
}
