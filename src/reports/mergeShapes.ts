/** Straight lines of the same paint become one path, and neighbours of the same paint one group that says it once. */
export function mergeShapes(tokens: readonly string[]): string[] {
  return shareAttributes(linesToPaths(tokens));
}

const LINE = /^<line(?: transform="translate\(([^,)]+),([^)]+)\)")? x2="([^"]+)" y2="([^"]+)"([^>]*)\/>$/;

function linesToPaths(tokens: readonly string[]): string[] {
  const merged: string[] = [];
  let paint: string | undefined;
  let way = '';
  const flush = (): void => {
    if (paint !== undefined) merged.push(`<path d="${way}"${paint}/>`);
    paint = undefined;
    way = '';
  };
  for (const token of tokens) {
    const line = LINE.exec(token);
    if (line === null || line[5] !== paint) flush();
    if (line === null) merged.push(token);
    else {
      paint = line[5]!;
      way += `M${line[1] ?? '0'},${line[2] ?? '0'}l${line[3]!},${line[4]!}`;
    }
  }
  flush();
  return merged;
}

/** Attributes that a group hands down to its members unchanged. */
const INHERITED = new Set([
  'fill',
  'stroke',
  'stroke-width',
  'stroke-dasharray',
  'font-size',
  'font-weight',
  'font-style',
  'text-anchor',
]);

interface Shape {
  /** The element without its inherited attributes. */
  readonly bare: string;
  readonly inherited: string;
}

/** Runs of three and more neighbours with the same paint. A shape is one tag, or a text with its closing tag. */
function shareAttributes(tokens: readonly string[]): string[] {
  const merged: string[] = [];
  let run: Shape[] = [];
  const flush = (): void => {
    const paint = run[0]?.inherited ?? '';
    if (run.length > 2 && paint !== '') merged.push(`<g${paint}>`, ...run.map(({ bare }) => bare), '</g>');
    else merged.push(...run.map(({ bare, inherited }) => bare.replace(/^<\w+/, (name) => name + inherited)));
    run = [];
  };
  for (let i = 0; i < tokens.length; i++) {
    const token = tokens[i]!;
    const text = token.startsWith('<text');
    if (!text && !/^<path[^>]*\/>$/.test(token)) {
      flush();
      merged.push(token);
      continue;
    }
    let whole = token;
    while (text && tokens[i] !== '</text>' && i + 1 < tokens.length) whole += tokens[++i]!;
    const shape = shapeOf(token, whole);
    if (run.length > 0 && run[0]!.inherited !== shape.inherited) flush();
    run.push(shape);
  }
  flush();
  return merged;
}

function shapeOf(tag: string, whole: string): Shape {
  let inherited = '';
  const bareTag = tag.replace(/ ([\w-]+)="[^"]*"/g, (attribute, name: string) => {
    if (!INHERITED.has(name)) return attribute;
    inherited += attribute;
    return '';
  });
  return { bare: bareTag + whole.slice(tag.length), inherited };
}
