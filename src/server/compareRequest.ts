import type { Comparison } from '../review/comparison';
import { SessionFault } from '../session/sessionFault';
import { comparableUri } from './folderUri';
import type { Repository } from './repository';
import type { Workspace } from './workspace';

/** What a target of `compare` names: a repository where it says which, and the name that its session takes. */
interface NamedTarget {
  readonly repository?: Repository;
  readonly name: string;
}

export interface ComparedInRepository {
  readonly comparison: Comparison;
  readonly repository: Repository;
}

/**
 * Compares two targets: addresses of files, `REPOSITORY#SERIAL/BUILD` as the server gives them out, or what a person typed. Either may be
 * followed by `@REVISION`. @throws SessionFault
 */
export async function compareByName(workspace: Workspace, a: string, b: string): Promise<ComparedInRepository> {
  const [first, second] = [namedTarget(workspace, a), namedTarget(workspace, b)];
  const named = [first.repository, second.repository].filter((one) => one !== undefined);
  if (named.length === 2 && named[0] !== named[1])
    throw new SessionFault(
      'The two lie in different repositories.',
      'Compare two builds or results of one damper-spec repository.',
    );
  const asked = named[0] === undefined ? workspace.repositories : [named[0]];
  let fault: unknown = new SessionFault(
    'No damper-spec repository is open.',
    'Open a folder with a damper-review.yaml at its root.',
  );
  for (const repository of asked) {
    try {
      return { repository, comparison: await repository.history.compare(first.name, second.name) };
    } catch (error) {
      if (!(error instanceof SessionFault)) throw error;
      fault = error;
    }
  }
  throw fault;
}

function namedTarget(workspace: Workspace, target: string): NamedTarget {
  for (const repository of workspace.repositories) {
    const start = `${repository.folder.uri}#`;
    if (target.startsWith(start)) return { repository, name: safelyDecoded(target.slice(start.length)) };
  }
  const place = workspace.knownPlaceOf(target);
  if (place !== undefined) return { repository: place.repository, name: place.path };
  if (/^[a-z][a-z0-9+.-]*:\/\//i.test(target))
    throw new SessionFault(
      `"${comparableUri(target)}" lies in no open damper-spec repository.`,
      'Open the folder of its repository first.',
    );
  return { name: target };
}

function safelyDecoded(text: string): string {
  try {
    return decodeURIComponent(text);
  } catch {
    return text;
  }
}
