import { spellHidden } from '../text/visible';
import { mergeShapes } from './mergeShapes';

/**
 * Cuts what Vega writes down to what is drawn, so that a page with a hundred charts stays small: no empty groups, no invisible
 * text or rectangles, coordinates to a hundredth of a pixel, no inline style (pages forbid it). Ids get a prefix of their own.
 */
export function slimSvg(svg: string, id: string): string {
  const tokens = (svg.match(/<[^>]*>|[^<]+/g) ?? []).map((token) =>
    token.startsWith('<') ? slimTag(token, id) : spellHidden(token),
  );
  return mergeShapes(dropEmptyGroups(dropBareGroups(dropInvisible(tokens)))).join('');
}

/** Attributes that say nothing here: roles are replaced by the drawing's own title, styles by attributes. */
const DROPPED =
  /\s(?:aria-[\w-]+|role|pointer-events|class|style|version|xmlns:xlink|font-family|stroke-miterlimit)="[^"]*"|\s(?:opacity="1"|font-weight="normal"|transform="translate\(0,0\)")/g;
const COORDINATES = /\s(d|transform|x|y|x1|y1|x2|y2|width|height|stroke-width|font-size)="([^"]*)"/g;

function slimTag(tag: string, id: string): string {
  if (tag.startsWith('</')) return tag;
  const slim = tag
    .replace(DROPPED, '')
    .replace(/\sid="([^"]*)"/, (_, own: string) => ` id="${id}-${own}"`)
    .replace(/url\(#([^)]*)\)/g, (_, own: string) => `url(#${id}-${own})`)
    .replace(COORDINATES, (_, name: string, value: string) => ` ${name}="${roundNumbers(value)}"`);
  return slim.replace(/^<svg/, '<svg font-family="sans-serif"');
}

function roundNumbers(text: string): string {
  return text.replace(/-?\d+\.\d+(?:e-?\d+)?|-?\d+e-\d+/g, (number) => String(Number(Number(number).toFixed(2)) + 0));
}

/** Drops what draws nothing: hidden text, and paths without fill, stroke or way. */
function dropInvisible(tokens: readonly string[]): string[] {
  const kept: string[] = [];
  let hiddenText = false;
  for (const token of tokens) {
    if (token.startsWith('<text') && token.includes(' opacity="0"')) hiddenText = true;
    if (!hiddenText && !(token.startsWith('<path') && drawsNothing(token))) kept.push(token);
    if (token === '</text>') hiddenText = false;
  }
  return kept;
}

function drawsNothing(path: string): boolean {
  return / display="none"| d=""/.test(path) || !/ (?:fill|stroke)="(?!none|transparent)/.test(path);
}

/** A `<g>` without attributes means nothing. */
function dropBareGroups(tokens: readonly string[]): string[] {
  const bare: boolean[] = [];
  return tokens.filter((token) => {
    if (/^<g[^>]*\/>$/.test(token)) return false;
    if (/^<g[\s>]/.test(token)) {
      bare.push(token === '<g>');
      return token !== '<g>';
    }
    return token !== '</g>' || bare.pop() !== true;
  });
}

function dropEmptyGroups(tokens: readonly string[]): string[] {
  const kept: string[] = [];
  for (const token of tokens) {
    if (token === '</g>' && /^<g[\s>]/.test(kept.at(-1) ?? '')) kept.pop();
    else kept.push(token);
  }
  return kept;
}
