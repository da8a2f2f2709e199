import type { PageMessage } from '../src/protocol/pageMessages';

interface EditorApi {
  postMessage(message: PageMessage): void;
  setState(state: unknown): void;
}
declare function acquireVsCodeApi(): EditorApi;

const api = acquireVsCodeApi();

export function tellHost(message: PageMessage): void {
  api.postMessage(message);
}

/** What the editor hands back to the extension when it opens the page again after a reload. */
export function remember(state: unknown): void {
  api.setState(state);
}
