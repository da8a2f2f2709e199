import type { PageName, PageView } from './views';
import { isPageView } from './viewGuards';

/** Extension host to page. */
export type HostMessage =
  | { readonly kind: 'show'; readonly view: PageView }
  /** Marks the points of a row; 0 marks nothing. */
  | { readonly kind: 'select'; readonly row: number }
  /** Nothing to show: what the page is for, or what went wrong and what to do, in a sentence. */
  | { readonly kind: 'empty'; readonly page: PageName; readonly sentence: string };

/** Page to extension host. */
export type PageMessage =
  /** The page stands there; `width` are the pixels across that it has for a chart. */
  | { readonly kind: 'ready'; readonly width: number }
  /** The page was made wider or narrower. */
  | { readonly kind: 'resized'; readonly width: number }
  | { readonly kind: 'selectRow'; readonly row: number }
  | { readonly kind: 'chooseSetting'; readonly setting: string }
  /** A revision to hold the branch against, '' for the branch's own; also asks again for what was asked. */
  | { readonly kind: 'chooseBase'; readonly base: string }
  /** So many results of the branch are to be drawn. */
  | { readonly kind: 'drawMore'; readonly drawn: number }
  | { readonly kind: 'openFile'; readonly uri: string; readonly line: number }
  | { readonly kind: 'compare'; readonly a: string; readonly b: string }
  /** `data` is text for svg and csv, base64 for png. */
  | { readonly kind: 'save'; readonly format: SaveFormat; readonly name: string; readonly data: string }
  /** A message that did not fit was dropped. */
  | { readonly kind: 'refused'; readonly reason: string };

export const SAVE_FORMATS = ['svg', 'png', 'csv'] as const;
export type SaveFormat = (typeof SAVE_FORMATS)[number];

const MOST_SAVED = 32 * 1024 * 1024;
const MOST_TEXT = 4096;
const MOST_REVISION = 256;

/** Whether a message is one of ours, in full; anything else is refused. */
export function isHostMessage(message: unknown): message is HostMessage {
  if (!isObject(message)) return false;
  switch (message['kind']) {
    case 'show':
      return isPageView(message['view']);
    case 'select':
      return isRow(message['row']);
    case 'empty':
      return isPageName(message['page']) && isText(message['sentence']);
    default:
      return false;
  }
}

export function isPageMessage(message: unknown): message is PageMessage {
  if (!isObject(message)) return false;
  switch (message['kind']) {
    case 'ready':
    case 'resized':
      return isRow(message['width']);
    case 'drawMore':
      return isRow(message['drawn']);
    case 'selectRow':
      return isRow(message['row']);
    case 'chooseSetting':
      return isText(message['setting']);
    case 'chooseBase':
      return isText(message['base'], MOST_REVISION);
    case 'openFile':
      return isText(message['uri']) && isRow(message['line']);
    case 'compare':
      return isText(message['a']) && isText(message['b']);
    case 'save':
      return isFormat(message['format']) && isText(message['name']) && isText(message['data'], MOST_SAVED);
    case 'refused':
      return isText(message['reason']);
    default:
      return false;
  }
}

function isObject(value: unknown): value is Readonly<Record<string, unknown>> {
  return typeof value === 'object' && value !== null && !Array.isArray(value);
}

function isText(value: unknown, most = MOST_TEXT): boolean {
  return typeof value === 'string' && value.length <= most;
}

function isRow(value: unknown): boolean {
  return typeof value === 'number' && Number.isSafeInteger(value) && value >= 0;
}

function isFormat(value: unknown): boolean {
  return (SAVE_FORMATS as readonly unknown[]).includes(value);
}

function isPageName(value: unknown): boolean {
  return ['preview', 'comparison', 'adjusters', 'branch'].includes(value as string);
}
