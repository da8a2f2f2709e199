import { createHash, randomBytes } from 'node:crypto';
import { lstatSync, readdirSync, unlinkSync } from 'node:fs';
import { hostname } from 'node:os';
import { join } from 'node:path';
import { systemCode } from './fileErrors';

/** Host, process and chance, so that a later run can tell a living writer's file from one that a kill left behind. */
const TEMPORARY = /^\.damper-review-([0-9a-f]{8})-(\d+)-[0-9a-f]{16}\.tmp$/u;
const THIS_HOST = createHash('sha256').update(hostname()).digest('hex').slice(0, 8);
/** A file of another machine (a shared drive) is left alone this long. */
const FOREIGN_AGE_MS = 24 * 3600 * 1000;

/** A name for a half-written file: hidden, and with an ending that no kind of file of ours has. */
export function temporaryName(): string {
  return `.damper-review-${THIS_HOST}-${process.pid}-${randomBytes(8).toString('hex')}.tmp`;
}

export function isTemporaryName(name: string): boolean {
  return name.startsWith('.') && TEMPORARY.test(name); // a walk asks this of every name
}

/** Removes what killed runs left in a folder. Never fails: what cannot be removed stays, and is never read. */
export function removeLeftovers(folder: string, now: number): void {
  let names: readonly string[];
  try {
    names = readdirSync(folder);
  } catch {
    return;
  }
  for (const name of names) {
    if (!isLeftover(folder, name, now)) continue;
    try {
      unlinkSync(join(folder, name));
    } catch {
      // Another run may have removed it first.
    }
  }
}

function isLeftover(folder: string, name: string, now: number): boolean {
  const match = TEMPORARY.exec(name);
  if (match === null) return false;
  if (match[1] === THIS_HOST) return !isRunning(Number(match[2]));
  try {
    return now - lstatSync(join(folder, name)).mtimeMs > FOREIGN_AGE_MS;
  } catch {
    return false;
  }
}

function isRunning(processId: number): boolean {
  try {
    process.kill(processId, 0); // signal 0 sends nothing: it only asks
    return true;
  } catch (error) {
    return systemCode(error) !== 'ESRCH';
  }
}
