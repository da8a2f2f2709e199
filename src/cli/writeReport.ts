import { closeSync, mkdirSync, openSync, renameSync, rmSync, writeFileSync } from 'node:fs';
import { dirname, resolve } from 'node:path';
import { systemCode } from '../platform/node/fileErrors';
import { CommandFailure } from './failure';
import type { Content } from './output';

/**
 * Writes a report where the user asked for it: in full or not at all. Reports may lie outside the repository, so the
 * repository's own writer does not fit. Throws CommandFailure with the system's reason.
 */
export function writeReport(file: string, content: Content): string {
  const target = resolve(file);
  const unfinished = `${target}.${process.pid}.unfinished`;
  try {
    mkdirSync(dirname(target), { recursive: true });
    writeParts(unfinished, typeof content === 'string' ? [content] : content);
    renameSync(unfinished, target);
  } catch (error) {
    rmSync(unfinished, { force: true });
    if (!(error instanceof Error) || systemCode(error) === undefined) throw error; // of what makes its parts
    throw new CommandFailure(`The report could not be written to ${file}: ${error.message}`);
  }
  return target;
}

function writeParts(file: string, parts: Iterable<string>): void {
  const opened = openSync(file, 'wx');
  try {
    for (const part of parts) writeFileSync(opened, part);
  } finally {
    closeSync(opened);
  }
}
