import { checkIn } from './en/check-in.ts';
import { common } from './en/common.ts';
import { desk } from './en/desk.ts';
import { inventory } from './en/inventory.ts';
import { manage } from './en/manage.ts';
import { metering } from './en/metering.ts';
import { plan } from './en/plan.ts';
import { sheet } from './en/sheet.ts';
import { signIn } from './en/sign-in.ts';
import { upgrades } from './en/upgrades.ts';

/** Every text of the pages in English, by area. Another language is a second object of this type. */
export const en = { common, signIn, desk, checkIn, inventory, manage, metering, plan, sheet, upgrades };

export type Texts = typeof en;
