import type { Principal } from '../http/access.ts';
import type { Assets } from './assets.ts';
import type { PageAnswer } from './define-page.ts';
import { sections } from './navigation.ts';
import { Do } from './parts/form.tsx';
import type { View } from './view.ts';

interface LayoutProps {
  readonly page: Extract<PageAnswer, { kind: 'page' }>;
  readonly view: View;
  readonly principal: Principal | null;
  readonly path: string;
  readonly assets: Assets;
}

// Nothing inline, nothing evaluated: the content security policy forbids both.
const partialUpdates = JSON.stringify({ allowEval: false, includeIndicatorStyles: false, selfRequestsOnly: true });

/** The frame of every page: the marina at the head of the line, its sections hanging off it. */
export function Layout({ page, view, principal, path, assets }: LayoutProps) {
  const { common } = view.texts;
  const scripts = page.scripts ?? [];
  return (
    <html lang={view.language}>
      <head>
        <meta charset="utf-8" />
        <meta name="viewport" content="width=device-width, initial-scale=1" />
        <meta name="color-scheme" content="light dark" />
        {scripts.includes('partial') && <meta name="htmx-config" content={partialUpdates} />}
        <title>{view.marinaName === '' ? page.title : `${page.title} · ${view.marinaName}`}</title>
        <link rel="icon" href={assets.icon} />
        <link rel="stylesheet" href={assets.style} />
        {scripts.map((name) => (
          <script key={name} src={assets.script(name)} defer />
        ))}
      </head>
      <body class={page.wide ? 'wide' : undefined}>
        <a class="skip" href="#content">
          {common.skip}
        </a>
        {principal !== null && <Head view={view} principal={principal} section={page.section} path={path} />}
        <main id="content" tabIndex={-1}>
          {page.body}
        </main>
        <footer>{common.theService}</footer>
      </body>
    </html>
  );
}

interface HeadProps {
  readonly view: View;
  readonly principal: Principal;
  readonly section: string | undefined;
  readonly path: string;
}

function Head({ view, principal, section, path }: HeadProps) {
  const { common } = view.texts;
  const base = `/marinas/${principal.marinaId}`;
  const mine = sections.filter(({ roles }) => roles.includes(principal.role));
  return (
    <header class="head">
      <div class="head-line">
        <span class="head-marina">{view.marinaName}</span>
        <span class="head-person">
          {principal.name} · {common.roles[principal.role]}
        </span>
        <form method="post" action="/sign-out" class="head-form">
          <a href={`/display?to=${encodeURIComponent(path)}`}>{common.display}</a>
          <Do action="out" kind="quiet">
            {common.signOut}
          </Do>
        </form>
      </div>
      <nav class="bus" aria-label={common.sections}>
        <ul>
          {mine.map(({ id, path: own }) => (
            <li key={id}>
              <a href={`${base}/${own}`} aria-current={id === section ? 'page' : undefined}>
                <Tap closed={id === section} />
                {common.nav[id]}
              </a>
            </li>
          ))}
        </ul>
      </nav>
    </header>
  );
}

/** A make contact hanging off the bus (IEC 60617, 07-02-01): closed where one is. */
function Tap({ closed }: { readonly closed: boolean }) {
  return (
    <svg class="tap" viewBox="0 0 12 22" width="12" height="22" aria-hidden="true" focusable="false">
      <path d={closed ? 'M6 0V22' : 'M6 0V5M6 15V22M6 15L1 6'} />
    </svg>
  );
}
