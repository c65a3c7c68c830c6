/** For the change row. */
export interface WhatWasDone {
  readonly before: unknown;
  readonly after: unknown;
}
