import { REQUEST } from '../../src/protocol/requests';
import type { FileState, PairState } from './pageState';
import type { PageKind } from './questionPanel';

export const COMPARISON: PageKind<PairState> = {
  page: 'comparison',
  viewType: 'damperReview.comparison',
  title: ({ a, b }) => `${shortName(a)} ↔ ${shortName(b)}`,
  ask: (server, { a, b }, charts) => server.ask(REQUEST.compare, { a, b, ...charts }),
  nothing: 'These two have no point in common.',
};

export const ADJUSTERS: PageKind<FileState> = {
  page: 'adjusters',
  viewType: 'damperReview.adjusters',
  title: ({ uri }) => `Adjusters: ${shortName(uri)}`,
  ask: (server, { uri }, charts) => server.ask(REQUEST.adjusters, { uri, ...charts }),
  nothing: 'This file holds no sweep: adjusters are read from a run that tests several positions of one adjuster.',
};

/** The last parts of an address or path, which tell two targets apart. */
function shortName(target: string): string {
  if (!/^[a-z][\w+.-]+:/i.test(target)) return target;
  const plain = decodeSafely(target);
  const build = plain.indexOf('#');
  if (build >= 0) return plain.slice(build + 1);
  return plain.split('/').slice(-2).join('/');
}

function decodeSafely(text: string): string {
  try {
    return decodeURIComponent(text);
  } catch {
    return text;
  }
}
