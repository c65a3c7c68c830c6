/** What a token may do; each route lists the roles that may use it. */
export const roles = ['harbormaster', 'dockhand', 'manager', 'viewer'] as const;
export type Role = (typeof roles)[number];

/** Reads of the marina's own data. */
export const everyRole: readonly Role[] = [...roles];

/** Who sends a request: one token of one marina. */
export interface Principal {
  /** Goes into the change table as the actor: `token:<id>`. */
  readonly id: string;
  readonly marinaId: string;
  readonly role: Role;
  readonly name: string;
}
