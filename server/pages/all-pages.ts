import { signInPages } from '../sign-in/pages.tsx';
import { dayPage } from '../stays/day-page.tsx';
import type { PageDefinition } from './define-page.ts';

/** Every page. A resource adds its own here. */
export const allPages: readonly PageDefinition[] = [...signInPages, dayPage];
