import { GunzipError, type Gunzip } from '../../ports/services';

/** Expands gzip by the browser's own stream. @param mostBytes expanded size that is too much for a browser */
export function webGunzip(mostBytes: number): Gunzip {
  return {
    async *gunzip(chunks) {
      const expander = new DecompressionStream('gzip');
      const source = new Source(chunks);
      const fed = source.feed(expander.writable.getWriter());
      const reader = expander.readable.getReader();
      let total = 0;
      try {
        for (;;) {
          const { done, value } = await reader.read();
          if (done) break;
          total += value.length;
          if (total > mostBytes)
            throw new GunzipError(
              'too-large',
              `expands to more than ${mostBytes} bytes, which is too much for a browser`,
            );
          yield value;
        }
      } catch (error) {
        if (error instanceof GunzipError) throw error;
        await fed;
        if (source.fault !== undefined) throw source.fault;
        // The browser does not tell a torn end from other damage.
        throw new GunzipError('damaged', 'is damaged or cut off: the gzip data do not expand');
      } finally {
        source.stop();
        await reader.cancel().catch(() => undefined);
      }
    },
  };
}

/** Feeds the packed pieces and keeps apart what went wrong with reading them. */
class Source {
  fault: Error | undefined;
  #stopped = false;
  readonly #chunks: AsyncIterable<Uint8Array>;

  constructor(chunks: AsyncIterable<Uint8Array>) {
    this.#chunks = chunks;
  }

  stop(): void {
    this.#stopped = true;
  }

  /** Never rejects: a fault of the expander shows at its other end. */
  async feed(writer: WritableStreamDefaultWriter<BufferSource>): Promise<void> {
    writer.closed.catch(() => undefined);
    try {
      for await (const chunk of this.#chunks) {
        if (this.#stopped) break;
        const written = await writer.write(chunk.slice()).then(
          () => true,
          () => false,
        );
        if (!written) return;
      }
      await writer.close().catch(() => undefined);
    } catch (error) {
      this.fault = error instanceof Error ? error : new Error(String(error));
      await writer.abort(error).catch(() => undefined);
    }
  }
}
