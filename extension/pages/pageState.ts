/** What a page keeps for itself over a reload of the window: enough to ask again, and nothing that was measured. */
export type PageState = PreviewState | PairState | FileState | BranchState;

export interface PreviewState {
  readonly page: 'preview';
  readonly uri: string;
  readonly setting?: string;
}
export interface PairState {
  readonly page: 'comparison';
  readonly a: string;
  readonly b: string;
}
export interface FileState {
  readonly page: 'adjusters';
  readonly uri: string;
}
export interface BranchState {
  readonly page: 'branch';
  readonly base: string;
  /** Of the repository; the only one where absent. */
  readonly uri?: string;
  /** Results whose charts were asked for. */
  readonly drawn?: number;
}

export function isPageState(value: unknown): value is PageState {
  if (typeof value !== 'object' || value === null) return false;
  const state = value as Readonly<Record<string, unknown>>;
  switch (state['page']) {
    case 'preview':
      return isText(state['uri']) && (state['setting'] === undefined || isText(state['setting']));
    case 'comparison':
      return isText(state['a']) && isText(state['b']);
    case 'adjusters':
      return isText(state['uri']);
    case 'branch':
      return (
        isText(state['base']) &&
        (state['uri'] === undefined || isText(state['uri'])) &&
        (state['drawn'] === undefined || Number.isSafeInteger(state['drawn']))
      );
    default:
      return false;
  }
}

function isText(value: unknown): value is string {
  return typeof value === 'string' && value.length <= 4096;
}
