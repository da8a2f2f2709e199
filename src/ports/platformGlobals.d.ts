/* The few globals that Node.js, browsers and workers share and the core uses; the core is compiled without Node and DOM types. */
declare class TextDecoder {
  constructor(label?: string, options?: { fatal?: boolean; ignoreBOM?: boolean });
  decode(input?: Uint8Array, options?: { stream?: boolean }): string;
}
declare class AbortController {
  readonly signal: {
    readonly aborted: boolean;
    addEventListener(type: 'abort', listener: () => void): void;
    removeEventListener(type: 'abort', listener: () => void): void;
  };
  abort(): void;
}
declare class TextEncoder {
  encode(input?: string): Uint8Array<ArrayBuffer>;
}
