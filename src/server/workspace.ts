import { FolderUri, parentUri } from './folderUri';
import { filesOutside } from './filesOutside';
import { Repository, type RepositoryEvents, type Tuning } from './repository';
import type { ServerPlatform } from './serverPlatform';

/** A file under review: its repository and its path inside. */
export interface Place {
  readonly repository: Repository;
  readonly path: string;
}

/**
 * The folders that are open in the editor and the damper-spec repositories in them: one session each, marked by `damper-review.yaml`.
 * A folder without one is taken as a repository once one of its files is opened. A repository inside another stands for itself.
 */
export class Workspace {
  readonly #platform: ServerPlatform;
  readonly #events: RepositoryEvents;
  readonly #tuning: Tuning;
  readonly #repositories = new Map<string, Repository>();
  #folders: readonly FolderUri[] = [];
  #foldersTaken: () => void = () => undefined;

  /** When the editor's folders have been looked through for the first time: what is asked before would find no repository. */
  readonly opened = new Promise<void>((resolve) => {
    this.#foldersTaken = resolve;
  });

  constructor(platform: ServerPlatform, events: RepositoryEvents, tuning: Tuning) {
    this.#platform = platform;
    this.#events = events;
    this.#tuning = tuning;
  }

  get repositories(): readonly Repository[] {
    return [...this.#repositories.values()].sort((a, b) => (a.folder.uri < b.folder.uri ? -1 : 1));
  }

  /** Takes the editor's folders, finds the repositories in them, and lets go of those that lie in none any more. */
  async setFolders(uris: readonly string[]): Promise<readonly Repository[]> {
    this.#folders = uris.map((uri) => new FolderUri(uri));
    const roots: string[] = [];
    for (const { uri } of this.#folders) roots.push(...(await this.#platform.repositoriesBelow(uri)));
    const gone = this.repositories.filter(
      ({ folder }) => !this.#folders.some((open) => open.pathOf(folder.uri) !== undefined),
    );
    for (const repository of gone) this.#remove(repository);
    this.#addAll(roots);
    this.#foldersTaken();
    return gone;
  }

  /** The place of a file; opens its repository where that is not known yet. */
  async placeOf(uri: string): Promise<Place | undefined> {
    const known = this.knownPlaceOf(uri);
    if (known !== undefined) return known;
    const root = (await this.#platform.repositoryAround(uri)) ?? this.#folderOf(uri);
    if (root === undefined) return undefined;
    this.#addAll([root]);
    return this.knownPlaceOf(uri);
  }

  /** The innermost known repository that holds the file. */
  knownPlaceOf(uri: string): Place | undefined {
    let found: Place | undefined;
    for (const repository of this.#repositories.values()) {
      const path = repository.folder.pathOf(uri);
      if (path !== undefined && (found === undefined || path.length < found.path.length)) found = { repository, path };
    }
    return found;
  }

  /** Takes in that a `damper-review.yaml` came or went. */
  async markerChanged(uri: string): Promise<readonly Repository[]> {
    const root = new FolderUri(parentUri(uri));
    const around = await this.#platform.repositoryAround(uri);
    if (around !== undefined && root.pathOf(around) === '') {
      this.#addAll([root.uri]);
      return [];
    }
    const known = this.#repositories.get(root.key);
    if (known === undefined) return [];
    this.#remove(known);
    return [known];
  }

  close(): void {
    this.#foldersTaken();
    for (const repository of this.#repositories.values()) repository.close();
    this.#repositories.clear();
  }

  #folderOf(uri: string): string | undefined {
    return this.#folders.find((folder) => folder.pathOf(uri) !== undefined)?.uri;
  }

  #addAll(roots: readonly string[]): void {
    for (const root of roots) {
      const folder = new FolderUri(root);
      if (this.#repositories.has(folder.key)) continue;
      const opened = this.#platform.open(folder.uri);
      const { ports } = opened;
      const files = filesOutside(ports.files, () => this.#pathsOfOthersIn(folder));
      this.#repositories.set(
        folder.key,
        new Repository(folder.uri, { ...opened, ports: { ...ports, files } }, this.#events, this.#tuning),
      );
      this.#lookAgainAround(folder);
    }
  }

  #remove(repository: Repository): void {
    this.#repositories.delete(repository.folder.key);
    repository.close();
    this.#lookAgainAround(repository.folder);
  }

  /** Folders of a repository that are repositories themselves. */
  #pathsOfOthersIn(folder: FolderUri): readonly string[] {
    return [...this.#repositories.values()].flatMap((other) => {
      const path = folder.pathOf(other.folder.uri);
      return path === undefined || path === '' ? [] : [path];
    });
  }

  /** A repository that came or went changes what belongs to those around it. */
  #lookAgainAround(folder: FolderUri): void {
    for (const repository of this.#repositories.values())
      if (repository.folder.pathOf(folder.uri) !== undefined) repository.invalidate([]);
  }
}
