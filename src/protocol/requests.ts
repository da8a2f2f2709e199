import type { Verdict } from '../review/judgedResult';
import type { AdjusterView, BranchView, ComparisonView, PreviewView } from './views';

/** Our own requests beside those of the language server protocol. A failure is a ResponseError whose message holds the remedy in words. */
export const REQUEST = {
  tree: 'damperReview/tree',
  status: 'damperReview/status',
  preview: 'damperReview/preview',
  adjusters: 'damperReview/adjusters',
  compareTargets: 'damperReview/compareTargets',
  compare: 'damperReview/compare',
  branch: 'damperReview/branch',
  reduce: 'damperReview/reduce',
  adopt: 'damperReview/adopt',
  waive: 'damperReview/waive',
  goOn: 'damperReview/goOn',
} as const;

/** Server to client, for folders that are on no disk, and for all of them where the server itself has none. */
export const FILE_REQUEST = {
  list: 'damperReview/fs/list',
  stat: 'damperReview/fs/stat',
  read: 'damperReview/fs/read',
} as const;

/** Server to client after each published set: tree, badges, status and pages ask again. No parameters. */
export const CHANGED = 'damperReview/changed';

/** What each request takes and gives, by its method. */
export interface Requests {
  readonly [REQUEST.tree]: Exchange<null, readonly TreeNode[]>;
  readonly [REQUEST.status]: Exchange<UriParams, StatusView | null>;
  readonly [REQUEST.preview]: Exchange<PreviewParams, PreviewView | null>;
  readonly [REQUEST.adjusters]: Exchange<UriParams & ChartParams, AdjusterView | null>;
  readonly [REQUEST.compareTargets]: Exchange<null, readonly CompareTarget[]>;
  readonly [REQUEST.compare]: Exchange<CompareParams, ComparisonView>;
  readonly [REQUEST.branch]: Exchange<BranchParams, BranchView>;
  /** The result of the run behind a result or test log, reduced again, as an edit for the client to apply. */
  readonly [REQUEST.reduce]: Exchange<UriParams, FileEdits>;
  /** The result, or the mean of several, as the reference curve of its spec. */
  readonly [REQUEST.adopt]: Exchange<AdoptParams, FileEdits>;
  /** A waiver in damper-review.yaml. */
  readonly [REQUEST.waive]: Exchange<WaiveParams, FileEdits>;
  /** Takes up every review that the user stopped, and answers when it is told. */
  readonly [REQUEST.goOn]: Exchange<null, null>;
}

export interface FileRequests {
  readonly [FILE_REQUEST.list]: Exchange<UriParams, FileListing>;
  readonly [FILE_REQUEST.stat]: Exchange<UriParams, FileFacts | null>;
  readonly [FILE_REQUEST.read]: Exchange<FileReadParams, FileContent>;
}

interface Exchange<Params, Result> {
  readonly params: Params;
  readonly result: Result;
}

/** Passed as `initializationOptions`. */
export interface ServerOptions {
  /** False in an untrusted workspace: the server starts no program then (no git). */
  readonly trusted: boolean;
  /** Folder that the pages of the rules lie in, as a URI without a slash at its end; a diagnostic's code links to `${rulePages}/${rule}.md`. */
  readonly rulePages?: string;
  /** Absolute path of a folder for reduced logs; the user's cache folder where absent. Node.js only. */
  readonly cacheFolder?: string;
  /** Executable of git, as the editor knows it. Node.js only, and only where trusted. */
  readonly gitPath?: string;
}

/** Section `damperReview` of the client's configuration, asked by `workspace/configuration` with the document's scope. */
export interface ServerSettings {
  readonly inlayHints: 'off' | 'outside' | 'all';
  readonly codeLens: boolean;
}
export const SETTINGS_SECTION = 'damperReview';
export const DEFAULT_SETTINGS: ServerSettings = { inlayHints: 'outside', codeLens: true };

/** Commands that the server's lenses and quick fixes name; the client registers them. */
export const COMMAND = {
  /** [uri] opens the preview. */
  preview: 'damperReview.preview',
  /** [uri] asks for a reason, then sends `adopt`. */
  adopt: 'damperReview.adopt',
  /** [uri, rule] asks for reason, name and end date, then sends `waive`. */
  waive: 'damperReview.waive',
  /** [uri] compares with another build, which it asks for. */
  compareWith: 'damperReview.compareWith',
} as const;

export interface UriParams {
  readonly uri: string;
}

/** What is asked of a page's charts. */
export interface ChartParams {
  /** Pixels across that the page has for a chart, which is drawn for them and never scaled; a wide page where absent. */
  readonly width?: number;
}

export interface PreviewParams extends UriParams, ChartParams {
  /** `key` of a SettingChoice; that of the worst point where absent. */
  readonly setting?: string;
  /** 1-based line of the text whose point is to be marked; its setting is shown where `setting` is absent. */
  readonly select?: number;
}

export interface CompareParams extends ChartParams {
  /** `target` of a CompareTarget, or a URI of a result, log or reference, or `SERIAL/BUILD`, or either followed by `@REVISION`. */
  readonly a: string;
  readonly b: string;
}

export interface BranchParams extends ChartParams {
  /** Any file or folder of the repository; the only repository where absent. */
  readonly uri?: string;
  /** Revision to hold the work tree against; found from the branch where absent. */
  readonly base?: string;
  /** Results whose charts are drawn, the first of them; the first 40 at least. */
  readonly drawn?: number;
  /** Where given, progress is told by it, as the language server protocol tells work that is done. */
  readonly workDoneToken?: string | number;
}

export interface AdoptParams {
  readonly uris: readonly string[];
  readonly reason: string;
}

export interface WaiveParams extends UriParams {
  readonly rule: string;
  readonly reason: string;
  readonly by: string;
  /** `YYYY-MM-DD` */
  readonly until: string;
}

export interface TreeNode {
  /** Stable between two answers, unique in the tree. */
  readonly id: string;
  readonly kind: 'repository' | 'spec' | 'damper' | 'build' | 'result';
  readonly label: string;
  readonly description?: string;
  readonly tooltip?: string;
  /** The worst of what lies below. */
  readonly verdict?: Verdict;
  /** File to open; a result's own. Explorer badges take `uri` and `verdict` of the nodes of kind `result`. */
  readonly uri?: string;
  /** 1-based line of the worst row. */
  readonly line?: number;
  /** What `compare` takes; on builds and results. */
  readonly target?: string;
  readonly children: readonly TreeNode[];
}

export interface StatusView {
  /** Absent where the review was stopped before the file was judged. */
  readonly verdict?: Verdict;
  /** The first line of what a reviewer sees. */
  readonly sentence: string;
  /** The user stopped the review: the verdict is of the state before, and `goOn` takes it up again. */
  readonly stopped?: true;
}

export interface CompareTarget {
  readonly label: string;
  readonly description: string;
  readonly target: string;
}

/** Whole new texts of files. The client applies them as one workspace edit, so that undo takes them back. */
export interface FileEdits {
  readonly files: readonly { readonly uri: string; readonly text: string; readonly isNew: boolean }[];
  /** What was done, or what kept it from being done, in a sentence each. */
  readonly notes: readonly string[];
}

export interface FileFacts {
  readonly size: number;
  /** Milliseconds since 1970. */
  readonly modified: number;
}

export interface FileListing {
  /** Every file below the folder, `.git` and `node_modules` left out; paths relative to it, with forward slashes. */
  readonly files: readonly (FileFacts & { readonly path: string })[];
  /** Folders that could not be listed. */
  readonly problems: readonly { readonly path: string; readonly message: string }[];
}

export interface FileReadParams extends UriParams {
  /** Most bytes wanted; a larger file is refused, not cut. */
  readonly limit: number;
}

/** `bytes` where messages carry them as they are, as they do between an editor in a browser and its worker; `base64` where they are JSON. */
export type FileContent =
  | { readonly kind: 'content'; readonly bytes: Uint8Array }
  | { readonly kind: 'content'; readonly base64: string }
  | { readonly kind: 'refused'; readonly code: 'not-found' | 'denied' | 'too-large' | 'io'; readonly message: string };
