import { reviewBranch } from '../../src/changes/reviewBranch';
import { ShownFiles } from '../../src/changes/shownFiles';
import { fixedClock, type MemoryStore } from '../../src/platform/memory/memoryServices';
import { GitRevisions } from '../../src/platform/node/gitRevisions';
import { nodeDigest } from '../../src/platform/node/nodeDigest';
import { nodeGunzip } from '../../src/platform/node/nodeGunzip';
import { NodeRepositoryFiles } from '../../src/platform/node/nodeRepositoryFiles';
import type { BranchChanges } from '../../src/changes/branchChanges';
import { branchDocument } from '../../src/reports/branchJson';
import type { BranchDocument } from '../../src/reports/branchSchema';
import { ReviewSession } from '../../src/session/reviewSession';
import { TODAY } from '../session/workshop';

/** What `changes` finds in a folder. @param shownBy files that the session is shown of the work tree */
export async function changesOf(
  folder: string,
  base: string | undefined,
  store: MemoryStore,
  shownBy: (work: NodeRepositoryFiles) => ShownFiles = (work) => new ShownFiles(work),
): Promise<BranchChanges> {
  const work = new NodeRepositoryFiles(folder);
  const files = shownBy(work);
  const session = new ReviewSession({
    files,
    digest: nodeDigest,
    gunzip: nodeGunzip(),
    clock: fixedClock(TODAY),
    store,
  });
  const revisions = await GitRevisions.open(folder);
  try {
    return await reviewBranch({ session, files, work, revisions }, base);
  } finally {
    await revisions.close();
  }
}

/** The whole work tree, whatever a branch concerns. */
export class WholeFiles extends ShownFiles {
  readonly #onNarrow: (kept: number) => void;

  /** @param onNarrow sees how many files would have been kept */
  constructor(work: NodeRepositoryFiles, onNarrow: (kept: number) => void = () => undefined) {
    super(work);
    this.#onNarrow = onNarrow;
  }

  override narrow(kept: ReadonlySet<string>): void {
    this.#onNarrow(kept.size);
  }
}

/** The document without the names of commits, which change with every byte of the files. */
export function documentOf(changes: BranchChanges): BranchDocument {
  const text = JSON.stringify(branchDocument(changes)).replace(/\b[0-9a-f]{40}\b|\b[0-9a-f]{12}\b/gu, 'COMMIT');
  return JSON.parse(text) as BranchDocument;
}
