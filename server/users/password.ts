import { randomBytes } from 'node:crypto';
import { argon2id, argon2Verify } from 'hash-wasm';

/** Hashes a password for storage: argon2id with its parameters and salt in the text (RFC 9106, PHC string format). */
export function hashPassword(password: string): Promise<string> {
  return argon2id({
    password: password.normalize('NFC'),
    salt: randomBytes(16),
    // 19 MiB, 2 passes, 1 lane: what OWASP's password storage guidance gives as the least.
    memorySize: 19_456,
    iterations: 2,
    parallelism: 1,
    hashLength: 32,
    outputType: 'encoded',
  });
}

/** Whether a password is the one that was hashed. Takes as long for an unknown user: give null then. */
export async function isPassword(password: string, hash: string | null): Promise<boolean> {
  const matches = await argon2Verify({ password: password.normalize('NFC'), hash: hash ?? (await nobodysHash) });
  return matches && hash !== null;
}

// Made once: who guesses user names must not be told by the clock that there is none.
const nobodysHash = hashPassword(randomBytes(16).toString('hex'));
