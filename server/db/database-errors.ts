import { Problem } from '../errors.ts';

/** What PostgreSQL said, whichever layer passed it on. */
interface DatabaseFault {
  /** SQLSTATE, or Prisma's own code where no statement failed. */
  readonly code: string;
  readonly message: string;
}

/** Finds the SQLSTATE in an error of Prisma (which wraps the driver's) or of `pg`; null for any other error. */
export function databaseFault(error: unknown): DatabaseFault | null {
  if (!(error instanceof Error)) return null;
  const driver = driverCause(error);
  if (driver !== null) return driver;
  const code = textProperty(error, 'code');
  if (code === null) return null;
  return /^([0-9A-Z]{5}|P2\d{3})$/.test(code) ? { code, message: error.message } : null;
}

function driverCause(error: Error): DatabaseFault | null {
  const meta = objectProperty(error, 'meta');
  const adapterError = (meta && objectProperty(meta, 'driverAdapterError')) ?? error;
  const cause = objectProperty(adapterError, 'cause');
  const code = cause && (textProperty(cause, 'originalCode') ?? textProperty(cause, 'code'));
  if (!cause || !code || !/^[0-9A-Z]{5}$/.test(code)) return null;
  return { code, message: textProperty(cause, 'originalMessage') ?? textProperty(cause, 'message') ?? '' };
}

/** Serialisation failures and deadlocks: the same transaction may succeed when run again. */
export function isRetryable(error: unknown): boolean {
  const code = databaseFault(error)?.code;
  return code === '40001' || code === '40P01' || code === 'P2034';
}

const doubleUses: readonly (readonly [constraint: string, detail: string])[] = [
  ['space_use_once', 'The berth space is taken by somebody else for part of that period.'],
  ['outlet_use_once', 'An outlet of the hook-up is taken by somebody else for part of that period.'],
  ['assignment_one_place', 'The boat already has a place for part of that period.'],
];

/**
 * The problem that a database error means to a client, or null where it is a fault of the service. The database's own
 * words never become part of it.
 */
export function problemOfDatabaseError(error: unknown): Problem | null {
  const fault = databaseFault(error);
  if (fault === null) return isPoolTimeout(error) ? busy('Other requests hold every connection.') : null;
  switch (fault.code) {
    case '23P01': {
      const known = doubleUses.find(([constraint]) => fault.message.includes(constraint));
      return new Problem('double-use', known?.[1] ?? 'It is taken for part of that period.');
    }
    case '23505':
    case 'P2002':
      return new Problem('already-exists', 'Something with the same id or label exists already.');
    case '23503':
    case '23001':
    case 'P2003':
      return new Problem('in-use', 'Something that this request names is missing, or is still used by something else.');
    case '22021': // a character that the database cannot store
    case '22P05':
      return new Problem('invalid-input', 'The request holds a character that cannot be stored. Remove it.');
    case '40001':
    case '40P01':
    case 'P2034':
    case '55P03': // a lock not obtained in time
    case '57014': // a statement cancelled
    case '53300': // no connection left
    case 'P2028': // no transaction obtained, or it ran out of time
    case 'P2024':
      return busy('Other changes were written at the same time.');
    case '57P01': // the database is shutting down
    case '57P02':
    case '57P03':
    case '08006':
    case '08001':
    case 'P1001':
    case 'P1017':
      return busy('The database does not answer at the moment.');
    default:
      return null;
  }
}

function busy(detail: string): Problem {
  return new Problem('busy', `${detail} Send the request again in a second.`, { headers: { 'retry-after': '1' } });
}

function objectProperty(value: object, name: string): object | null {
  const property: unknown = Reflect.get(value, name);
  return typeof property === 'object' && property !== null ? property : null;
}

function textProperty(value: object, name: string): string | null {
  const property: unknown = Reflect.get(value, name);
  return typeof property === 'string' ? property : null;
}

/** The pool's own error has no code. */
function isPoolTimeout(error: unknown): boolean {
  return error instanceof Error && /timeout exceeded when trying to connect/.test(error.message);
}
