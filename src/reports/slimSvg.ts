import { spellHidden } from '../text/visible';

/**
 * Cuts what Vega writes down to what is drawn, so that a page with a hundred charts stays small: no empty groups, no invisible
 * text or rectangles, coordinates to a hundredth of a pixel, no inline style (pages forbid it). Ids get a prefix of their own.
 */
export function slimSvg(svg: string, id: string): string {
  const tokens = svg.match(/<[^>]*>|[^<]+/g) ?? [];
  const kept = dropEmptyGroups(
    dropBareGroups(
      dropInvisible(tokens.map((token) => (token.startsWith('<') ? slimTag(token, id) : spellHidden(token)))),
    ),
  );
  return kept.join('');
}

const DROPPED =
  /\s(?:aria-[\w-]+|role|pointer-events|class|style|version|xmlns:xlink|font-family|stroke-miterlimit|opacity="1"|transform="translate\(0,0\)")(?:="[^"]*")?/g;

function slimTag(tag: string, id: string): string {
  if (tag.startsWith('</')) return tag;
  const drops = tag.replace(/\s(?:opacity="1"|transform="translate\(0,0\)")/g, '').replace(DROPPED, '');
  const ids = drops
    .replace(/\sid="([^"]*)"/, (_, own: string) => ` id="${id}-${own}"`)
    .replace(/url\(#([^)]*)\)/g, (_, own: string) => `url(#${id}-${own})`);
  const rounded = ids.replace(
    /\s(d|transform|x|y|x1|y1|x2|y2|width|height|stroke-width|font-size)="([^"]*)"/g,
    (_, name: string, value: string) => ` ${name}="${roundNumbers(value)}"`,
  );
  return tag.startsWith('<svg') ? rounded.replace(/^<svg/, '<svg font-family="sans-serif"') : rounded;
}

function roundNumbers(text: string): string {
  return text.replace(/-?\d+\.\d+(?:e-?\d+)?|-?\d+e-\d+/g, (number) => String(Number(Number(number).toFixed(2)) + 0));
}

/** Elements that draw nothing: hidden text, and paths and rectangles without fill, stroke or way. */
function dropInvisible(tokens: readonly string[]): string[] {
  const kept: string[] = [];
  let hiddenText = false;
  for (const token of tokens) {
    if (token.startsWith('<text') && / opacity="0"/.test(token)) hiddenText = true;
    const bare =
      token.startsWith('<path') &&
      (/ display="none"/.test(token) || / d=""/.test(token) || !/ (?:fill|stroke)="(?!none|transparent)/.test(token));
    if (!hiddenText && !bare) kept.push(token);
    if (token === '</text>') hiddenText = false;
  }
  return kept;
}

/** A `<g>` without attributes means nothing. */
function dropBareGroups(tokens: readonly string[]): string[] {
  const bare: boolean[] = [];
  return tokens.filter((token) => {
    if (token.startsWith('<g') && token.endsWith('/>')) return false;
    if (token.startsWith('<g')) {
      bare.push(token === '<g>');
      return token !== '<g>';
    }
    return token !== '</g>' || bare.pop() !== true;
  });
}

function dropEmptyGroups(tokens: readonly string[]): string[] {
  const kept: string[] = [];
  for (const token of tokens) {
    if (token === '</g>' && kept.at(-1)?.startsWith('<g') === true) kept.pop();
    else kept.push(token);
  }
  return kept;
}
