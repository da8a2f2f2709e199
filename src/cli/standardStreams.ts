import { fstatSync, writeSync } from 'node:fs';
import { CommandFailure } from './failure';

/*
 * Standard output and standard error. Node's own streams are made only where a terminal may be behind them: making one for a pipe loads all
 * of Node's network code, 3 ms of every start.
 */

const OUTPUT = 1;
const ERROR = 2;
type Descriptor = typeof OUTPUT | typeof ERROR;

const streams = new Map<Descriptor, NodeJS.WriteStream>();

function streamOf(descriptor: Descriptor): NodeJS.WriteStream {
  const stream = descriptor === OUTPUT ? process.stdout : process.stderr;
  streams.set(descriptor, stream);
  return stream;
}

/** Standard output where it is a terminal. */
export function outputTerminal(): NodeJS.WriteStream | undefined {
  return terminalAt(OUTPUT);
}

/** Standard error where it is a terminal. */
export function errorTerminal(): NodeJS.WriteStream | undefined {
  return terminalAt(ERROR);
}

function terminalAt(descriptor: Descriptor): NodeJS.WriteStream | undefined {
  if (!mayBeTerminal(descriptor)) return undefined;
  const stream = streamOf(descriptor);
  return stream.isTTY ? stream : undefined;
}

/** A console of Windows is not told from other devices by its descriptor in every release of Node.js 20. */
function mayBeTerminal(descriptor: Descriptor): boolean {
  if (process.platform === 'win32') return true;
  try {
    return fstatSync(descriptor).isCharacterDevice();
  } catch {
    return true; // closed: the stream knows what to do
  }
}

/**
 * Waits until standard output took it all: a pipe may take a large document in parts. A closed pipe is the reader's wish.
 * @returns false where the reader has gone. @throws CommandFailure where it cannot be written, such as to a full disk
 */
export async function print(text: string | Uint8Array): Promise<boolean> {
  try {
    const bytes = typeof text === 'string' ? Buffer.from(text) : text;
    const rest = mayBeTerminal(OUTPUT) ? bytes : writeNow(OUTPUT, bytes);
    if (rest.length > 0) await writeByStream(OUTPUT, rest);
    return true;
  } catch (error) {
    const { code, message } = error as NodeJS.ErrnoException;
    if (code === 'EPIPE' || code === 'ERR_STREAM_DESTROYED') return false;
    throw new CommandFailure(`Standard output took no more: ${message}`);
  }
}

/** Says something on standard error. Where nobody takes it, nobody wants it. */
export function complain(text: string): void {
  try {
    const rest = mayBeTerminal(ERROR) ? Buffer.from(text) : writeNow(ERROR, Buffer.from(text));
    if (rest.length > 0) streamOf(ERROR).write(rest);
  } catch {
    // gone or full
  }
}

/** @returns what a pipe that does not wait has no room for. @throws as writing does */
function writeNow(descriptor: Descriptor, bytes: Uint8Array): Uint8Array {
  let at = 0;
  try {
    while (at < bytes.length) at += writeSync(descriptor, bytes, at);
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code !== 'EAGAIN') throw error;
  }
  return bytes.subarray(at);
}

function writeByStream(descriptor: Descriptor, bytes: Uint8Array): Promise<void> {
  const stream = streamOf(descriptor);
  return new Promise((resolve, reject) => {
    // Whoever does not listen ends with the stream's error; it comes after what the writing itself is told.
    const listener = (): void => undefined;
    stream.once('error', listener);
    stream.write(bytes, (error: Error | null | undefined) => {
      if (error !== null && error !== undefined) {
        reject(error);
        return;
      }
      stream.off('error', listener);
      resolve();
    });
  });
}

/** Whether nothing waits in a stream any more, so that the process may end. */
export function isAllWritten(): boolean {
  return [...streams.values()].every((stream) => stream.writableLength === 0);
}
