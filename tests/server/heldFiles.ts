import { MemoryFiles } from '../../src/platform/memory/memoryFiles';
import type { AbortSignalLike } from '../../src/ports/abort';
import { LOGS } from '../session/workshop';

/** The log that is said to be large. */
export const LARGE = LOGS.two;
const MEBIBYTE = 1024 * 1024;

/** One reading of the large log beyond its head. */
export interface Reading {
  readonly signal: AbortSignalLike | undefined;
  ended: boolean;
}

/** Says of one log that it is large, and holds each reading of it behind its head until the test lets it go on. */
export class HeldFiles extends MemoryFiles {
  readonly readings: Reading[] = [];
  #release: () => void = () => undefined;
  #held = new Promise<void>((resolve) => (this.#release = resolve));

  release(): void {
    this.#release();
    this.#held = new Promise((resolve) => (this.#release = resolve));
  }

  override async list(under: string): ReturnType<MemoryFiles['list']> {
    const { files, problems } = await super.list(under);
    return { files: files.map((file) => (file.path === LARGE ? { ...file, size: 300 * MEBIBYTE } : file)), problems };
  }

  override async stat(path: string): ReturnType<MemoryFiles['stat']> {
    const entry = await super.stat(path);
    return entry !== undefined && path === LARGE ? { ...entry, size: 300 * MEBIBYTE } : entry;
  }

  override async *open(path: string, signal?: AbortSignalLike): AsyncIterable<Uint8Array> {
    if (path !== LARGE) {
      yield* super.open(path, signal);
      return;
    }
    let reading: Reading | undefined;
    for await (const chunk of super.open(path, signal)) {
      yield chunk;
      if (reading !== undefined) continue;
      reading = { signal, ended: false };
      this.readings.push(reading);
      await this.#held;
    }
    if (reading !== undefined) reading.ended = true;
  }
}
