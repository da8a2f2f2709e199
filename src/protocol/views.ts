import type { ChartSpec } from '../charts/chartSpec';
import type { Verdict } from '../review/judgedResult';
import type { FindingLevel } from '../files/spec';

/**
 * What the pages draw. The server words and rounds everything with the functions of the reports; a page computes nothing.
 * Every text may hold text from files: a page sets it as text, never as markup.
 */
export type PageView = PreviewView | ComparisonView | AdjusterView | BranchView;
export type PageName = PageView['page'];

interface PageBase {
  readonly title: string;
  readonly verdict?: Verdict;
  /** The verdict in the words of the spec's purpose, such as `FAIL` or `NOT SHOWN TO BE OUT`. */
  readonly verdictWord?: string;
  /** In the order in which a reviewer needs them. */
  readonly sentences: readonly string[];
  readonly facts: readonly FactView[];
  readonly settings: readonly SettingChoice[];
  readonly charts: readonly ChartView[];
  readonly tables: readonly TableView[];
  readonly findings: readonly FindingView[];
  /** What to do next, the weightiest first. */
  readonly steps: readonly string[];
  readonly cautions: readonly string[];
}

/** One result, or one run of logs that no result is committed of. */
export interface PreviewView extends PageBase {
  readonly page: 'preview';
  readonly uri: string;
  /** True where a `row` is a 1-based line of `uri`; else rows count the points of a run that was never written. */
  readonly linked: boolean;
  /** The row that the request asked to mark, where the view has it. */
  readonly selected?: number;
}

/** Two builds, results, logs or revisions held against each other. */
export interface ComparisonView extends PageBase {
  readonly page: 'comparison';
  readonly a: ComparedSideView;
  readonly b: ComparedSideView;
}

export interface ComparedSideView {
  /** As `compare` took it; a page that is shown again after a reload asks with it. */
  readonly target: string;
  readonly label: string;
  readonly about: string;
  readonly uri?: string;
}

export interface AdjusterView extends PageBase {
  readonly page: 'adjusters';
  readonly uri: string;
}

/** The branch against its base. */
export interface BranchView extends PageBase {
  readonly page: 'branch';
  /** As it was asked for; '' where the base was found from the branch. */
  readonly base: string;
  /** Folder of the repository. */
  readonly uri: string;
  /** What results are judged by and the branch moves, in the order in which it is reviewed. */
  readonly moved: readonly MovedView[];
  /** Findings about the branch as a whole; those of files stand in `findings`. */
  readonly about: readonly FindingView[];
  /** Results that changed or turned, turned ones first. Those past the ones that are drawn carry neither chart nor table. */
  readonly changed: readonly BranchRowView[];
  /** How many of them, from the first, are drawn; a page asks for more by `drawn` of its request. */
  readonly drawn: number;
}

export interface MovedView {
  /** Such as `tolerance of larch-front changed: tolerance.rebound 5 % to 7 %`. */
  readonly text: string;
  readonly file: string;
  /** Absent where the file is gone. */
  readonly uri?: string;
  /** 1-based. */
  readonly line: number;
  readonly compare?: ComparedPair;
}

/** What `compare` takes. */
export interface ComparedPair {
  readonly a: string;
  readonly b: string;
}

export interface BranchRowView {
  /** Unique on the page and safe as an element's id. */
  readonly id: string;
  /** Such as `F-001 build 2`. */
  readonly label: string;
  readonly file: string;
  /** Such as `changed: pass to fail with the reference`. */
  readonly change: string;
  readonly uri?: string;
  readonly before?: Verdict;
  readonly after?: Verdict;
  /** The verdict then and now, in a sentence each. */
  readonly was?: string;
  readonly now?: string;
  readonly chart?: ChartView;
  /** What stands behind the chart, before and after. */
  readonly table?: TableView;
  /** Before against after. */
  readonly compare?: ComparedPair;
}

export interface FactView {
  readonly name: string;
  readonly text: string;
}

export interface SettingChoice {
  /** What `preview` takes as `setting`. */
  readonly key: string;
  readonly label: string;
  readonly current: boolean;
}

/**
 * Plain Vega-Lite. Colours are `var(--chart-ink)` and so on (`ChartTheme` names them all), which the page's own style sets from the
 * editor's theme. Where `points` is given, each of its marks carries `row` in its datum, and the signal `selectedRow` (a number; 0 marks
 * nothing) marks the points of that row.
 */
export interface ChartView {
  /** A name of our own, unique on the page and safe as an element's id. */
  readonly id: string;
  readonly title: string;
  /** What is drawn, for the caption and for readers who do not see it. */
  readonly description: string;
  readonly spec: ChartSpec;
  readonly points?: readonly PointView[];
}

/** A mark that can be reached by keyboard, chosen, and read aloud. */
export interface PointView {
  readonly row: number;
  /** Unique in its chart. */
  readonly key: string;
  /** Such as `compression 300 mm/s: 812 N, drift +34 N, +98 % of tolerance, pass`. */
  readonly label: string;
}

export interface TableView {
  readonly id: string;
  readonly caption: string;
  readonly columns: readonly ColumnView[];
  readonly rows: readonly RowView[];
  /** Folded away at first. */
  readonly folded: boolean;
}

export interface ColumnView {
  readonly head: string;
  /** Such as `Compression`; neighbours of one group stand under one heading. */
  readonly group?: string;
  readonly numeric: boolean;
}

export interface RowView {
  /** As in `PointView`. */
  readonly row?: number;
  readonly cells: readonly string[];
  /** The worst of its cells. */
  readonly verdict?: Verdict;
}

export interface FindingView {
  readonly rule: string;
  readonly title: string;
  readonly level: Exclude<FindingLevel, 'off'> | 'waived';
  readonly message: string;
  readonly evidence: string;
  readonly next: string;
  /** Usual causes, and what the finding cannot tell. */
  readonly background: string;
  readonly waiver?: string;
  readonly uri: string;
  /** 1-based. */
  readonly line: number;
}
