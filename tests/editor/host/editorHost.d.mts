export interface HostOptions {
  /** New and empty for each host. */
  readonly userFolder: string;
  readonly extensionsFolder: string;
  readonly settings?: Readonly<Record<string, unknown>>;
  /** False: every folder opens in restricted mode. */
  readonly trusted?: boolean;
  readonly port?: number;
}
export interface EditorHost {
  readonly url: string;
  stop(): Promise<void>;
  output(): string;
}
export function hostFolder(): string;
export function installHost(): string;
export function installExtension(vsix: string, extensionsFolder: string): void;
export function startHost(options: HostOptions): Promise<EditorHost>;
