import { sheetPage, staySheetPage } from '../boater-sheets/pages.tsx';
import { checkInPage } from '../check-ins/check-in-page.tsx';
import { dockPage } from '../demand/dock-page.tsx';
import { docksPage } from '../demand/docks-page.tsx';
import { loadPage } from '../demand/load-page.tsx';
import { partPage } from '../demand/part-page.tsx';
import { inventoryDocumentPage, inventoryPage } from '../inventory/inventory-page.tsx';
import { inventoryItemPage } from '../inventory/item-page.tsx';
import { inventoryListPage } from '../inventory/list-page.tsx';
import { settingsPage } from '../marinas/settings-page.tsx';
import { metersPage } from '../meters/meters-page.tsx';
import { calendarPage } from '../occupancy/calendar-page.tsx';
import { planPage } from '../plans/plan-page.tsx';
import { plansPage } from '../plans/plans-page.tsx';
import { signInPages } from '../sign-in/pages.tsx';
import { callPage } from '../stays/call-page.tsx';
import { dayPage } from '../stays/day-page.tsx';
import { stayPage } from '../stays/stay-page.tsx';
import { turnedAwayPage } from '../stays/turned-away-page.tsx';
import { waitingPage } from '../stays/waiting-page.tsx';
import { changePage } from '../studies/change-page.tsx';
import { choicePage } from '../studies/choice-page.tsx';
import { replayPage } from '../studies/replay-page.tsx';
import { reportPage } from '../studies/report-page.tsx';
import { runTablePage } from '../studies/run-table-page.ts';
import { studiesPage } from '../studies/studies-page.tsx';
import { studyPage } from '../studies/study-page.tsx';
import { studyTablePage } from '../studies/study-table-page.ts';
import { tariffPage } from '../studies/tariff-page.tsx';
import { peoplePage } from '../users/people-page.tsx';
import { voltsPage } from '../volts/volts-page.tsx';
import type { PageDefinition } from './define-page.ts';

/** Every page. A resource adds its own here. */
export const allPages: readonly PageDefinition[] = [
  ...signInPages,
  dayPage,
  callPage,
  stayPage,
  turnedAwayPage,
  waitingPage,
  docksPage,
  dockPage,
  calendarPage,
  plansPage,
  planPage,
  voltsPage,
  loadPage,
  partPage,
  inventoryPage,
  inventoryDocumentPage,
  inventoryListPage,
  inventoryItemPage,
  metersPage,
  tariffPage,
  studiesPage,
  studyPage,
  changePage,
  studyTablePage,
  replayPage,
  choicePage,
  runTablePage,
  reportPage,
  settingsPage,
  peoplePage,
  checkInPage,
  sheetPage,
  staySheetPage,
];
