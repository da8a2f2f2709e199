import type {
  BranchRowView,
  ChartView,
  ColumnView,
  ComparedPair,
  ComparedSideView,
  FactView,
  FindingView,
  MovedView,
  PageView,
  PointView,
  RowView,
  SettingChoice,
  TableView,
} from './views';

/** Whether a value has the shape that it is asked for. */
type Guard = (value: unknown) => boolean;

/** A guard for each key of a type, so that a key added to the type cannot be forgotten here. */
type Shape<Type> = { readonly [Key in keyof Required<Type>]: Guard };

/**
 * Whether a value is a view in full: every key there and of its type, no key beside them. Written by hand, since a schema library
 * would outweigh the pages themselves.
 */
export function isPageView(value: unknown): value is PageView {
  return [preview, comparison, adjusters, branch].some((fits) => fits(value));
}

const text: Guard = (value) => typeof value === 'string';
const flag: Guard = (value) => typeof value === 'boolean';
const row: Guard = (value) => typeof value === 'number' && Number.isSafeInteger(value) && value >= 0;
const elementId: Guard = (value) => typeof value === 'string' && /^[a-z][a-z0-9-]{0,60}$/.test(value);
const verdict = oneOf('pass', 'fail', 'undecided');

function oneOf(...allowed: readonly string[]): Guard {
  return (value) => typeof value === 'string' && allowed.includes(value);
}

function maybe(fits: Guard): Guard {
  return (value) => value === undefined || fits(value);
}

function listOf(fits: Guard): Guard {
  return (value) => Array.isArray(value) && value.every(fits);
}

function object<Type>(shape: Shape<Type>): Guard {
  const keys = Object.keys(shape) as (keyof Type & string)[];
  return (value) => {
    if (typeof value !== 'object' || value === null || Array.isArray(value)) return false;
    const given = value as Readonly<Record<string, unknown>>;
    return Object.keys(given).every((key) => Object.hasOwn(shape, key)) && keys.every((key) => shape[key](given[key]));
  };
}

/** Plain JSON: no function, no cycle (structured cloning lets cycles through). */
function json(value: unknown, depth = 0): boolean {
  if (depth > 24) return false;
  if (value === null || typeof value === 'string' || typeof value === 'boolean') return true;
  if (typeof value === 'number') return Number.isFinite(value);
  if (typeof value !== 'object') return false;
  return Object.values(value).every((part) => json(part, depth + 1));
}

const point = object<PointView>({ row, key: text, label: text });
const chart = object<ChartView>({
  id: elementId,
  title: text,
  description: text,
  spec: (value) => typeof value === 'object' && value !== null && !Array.isArray(value) && json(value),
  points: maybe(listOf(point)),
});
const column = object<ColumnView>({ head: text, group: maybe(text), numeric: flag });
const tableRow = object<RowView>({ row: maybe(row), cells: listOf(text), verdict: maybe(verdict) });
const table = object<TableView>({
  id: elementId,
  caption: text,
  columns: listOf(column),
  rows: listOf(tableRow),
  folded: flag,
});
const finding = object<FindingView>({
  rule: text,
  title: text,
  level: oneOf('error', 'warning', 'note', 'waived'),
  message: text,
  evidence: text,
  next: text,
  background: text,
  waiver: maybe(text),
  uri: text,
  line: row,
});

const base = {
  title: text,
  verdict: maybe(verdict),
  verdictWord: maybe(text),
  sentences: listOf(text),
  facts: listOf(object<FactView>({ name: text, text })),
  settings: listOf(object<SettingChoice>({ key: text, label: text, current: flag })),
  charts: listOf(chart),
  tables: listOf(table),
  findings: listOf(finding),
  steps: listOf(text),
  cautions: listOf(text),
};
const compared = object<ComparedSideView>({ target: text, label: text, about: text, uri: maybe(text) });
const pair = object<ComparedPair>({ a: text, b: text });
const moved = object<MovedView>({ text, file: text, uri: maybe(text), line: row, compare: maybe(pair) });
const changed = object<BranchRowView>({
  id: elementId,
  label: text,
  file: text,
  change: text,
  uri: maybe(text),
  before: maybe(verdict),
  after: maybe(verdict),
  was: maybe(text),
  now: maybe(text),
  chart: maybe(chart),
  table: maybe(table),
  compare: maybe(pair),
});

const preview = object<Extract<PageView, { page: 'preview' }>>({
  ...base,
  page: oneOf('preview'),
  uri: text,
  linked: flag,
  selected: maybe(row),
});
const comparison = object<Extract<PageView, { page: 'comparison' }>>({
  ...base,
  page: oneOf('comparison'),
  a: compared,
  b: compared,
});
const adjusters = object<Extract<PageView, { page: 'adjusters' }>>({ ...base, page: oneOf('adjusters'), uri: text });
const branch = object<Extract<PageView, { page: 'branch' }>>({
  ...base,
  page: oneOf('branch'),
  base: text,
  uri: text,
  moved: listOf(moved),
  about: listOf(finding),
  changed: listOf(changed),
  drawn: row,
});
