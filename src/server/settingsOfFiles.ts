import type { Connection } from 'vscode-languageserver';
import { DEFAULT_SETTINGS, SETTINGS_SECTION, type ServerSettings } from '../protocol/requests';
import { readSettings } from './settings';

/** The client's settings, asked with a file's scope and remembered until they change. */
export class SettingsOfFiles {
  readonly #connection: Connection;
  readonly #canAsk: boolean;
  #known = new Map<string, Promise<ServerSettings>>();

  constructor(connection: Connection, canAsk: boolean) {
    this.#connection = connection;
    this.#canAsk = canAsk;
  }

  of(uri: string): Promise<ServerSettings> {
    if (!this.#canAsk) return Promise.resolve(DEFAULT_SETTINGS);
    let found = this.#known.get(uri);
    if (found === undefined) {
      found = this.#connection.workspace
        .getConfiguration({ scopeUri: uri, section: SETTINGS_SECTION })
        .then(readSettings, () => DEFAULT_SETTINGS);
      this.#known.set(uri, found);
    }
    return found;
  }

  forget(): void {
    this.#known = new Map();
  }
}
