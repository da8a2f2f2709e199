import type { ServerParts } from './server';

/** Answers the editor's requests about a place in a file. */
export function registerFeatures(parts: ServerParts): void {
  parts.connection.onExit(() => {
    parts.settings.forget();
  });
}
