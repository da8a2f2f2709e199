import { MemoryFiles } from '../../src/platform/memory/memoryFiles';
import type { FileEntry } from '../../src/ports/repositoryFiles';

/** Files of a platform that has them at hand without waiting, as Node.js has those of the disk. */
export class FilesAtHand extends MemoryFiles {
  readonly #bytes: ReadonlyMap<string, Uint8Array>;
  /** Logs that were opened. */
  readonly opened: string[] = [];

  constructor(files: Readonly<Record<string, string | Uint8Array>>) {
    super(files);
    this.#bytes = new Map(Object.entries(files).map(([path, content]) => [path, bytesOf(content)]));
  }

  readNow({ path }: FileEntry): Uint8Array | undefined {
    return this.#bytes.get(path)?.slice();
  }

  startNow({ path }: FileEntry, most: number): Uint8Array | undefined {
    return this.#bytes.get(path)?.slice(0, most);
  }

  override open(...[path, signal]: Parameters<MemoryFiles['open']>): ReturnType<MemoryFiles['open']> {
    this.opened.push(path);
    return super.open(path, signal);
  }
}

export function bytesOf(content: string | Uint8Array): Uint8Array {
  return typeof content === 'string' ? new TextEncoder().encode(content) : content;
}
