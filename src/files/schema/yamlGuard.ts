import { Lexer } from 'yaml';

/** Why a YAML text is refused before it is parsed. */
export interface YamlRefusal {
  readonly offset: number;
  readonly text: string;
  readonly message: string;
  readonly remedy: string;
}

export const YAML_LIMITS = { characters: 512 * 1024, flowDepth: 24, indentation: 120, dashesInALine: 12 } as const;

/**
 * Walks the tokens of a YAML text, which needs no recursion, and refuses what the recursive parser must never see: texts too
 * long or too deep exhaust its stack, and one of 200,000 opening brackets ends the whole process. Keys that are maps or
 * lists (`? `) are refused too; no file here has them and they cost the parser time without bound.
 */
export function refuseDangerousYaml(text: string): YamlRefusal | undefined {
  if (text.length > YAML_LIMITS.characters) return tooLong(text);
  let offset = 0;
  let flowDepth = 0;
  let dashes = 0;
  for (const token of new Lexer().lex(text)) {
    if (CONTROL_TOKENS.has(token)) continue;
    const first = token[0];
    if (first === '\n' || first === '\r') dashes = 0;
    if (first === '[' || first === '{') flowDepth++;
    if (first === ']' || first === '}') flowDepth--;
    if (token === '-') dashes++;
    if (token === '?') return complexKey(offset);
    if (flowDepth > YAML_LIMITS.flowDepth || dashes > YAML_LIMITS.dashesInALine || indentedTooFar(token)) {
      return tooDeep(offset, token);
    }
    offset += token.length;
  }
  return undefined;
}

/** The lexer's own marks, which stand for no text: document, flow error, scalar follows (yaml/src/parse/cst.ts). */
const CONTROL_TOKENS: ReadonlySet<string> = new Set(['\u0002', '\u0018', '\u001f']);

function indentedTooFar(token: string): boolean {
  return token.length > YAML_LIMITS.indentation && /^[ \t]+$/.test(token);
}

function tooLong(text: string): YamlRefusal {
  return {
    offset: 0,
    text: '',
    message: `The file has ${text.length} characters; at most ${YAML_LIMITS.characters} are read.`,
    remedy: 'Split it, or remove what does not belong here.',
  };
}

function tooDeep(offset: number, token: string): YamlRefusal {
  return {
    offset,
    text: token,
    message: 'The text is nested too deeply to be one of these files.',
    remedy: 'Check for brackets or dashes that do not belong here.',
  };
}

function complexKey(offset: number): YamlRefusal {
  return {
    offset,
    text: '?',
    message: 'A key that begins with a question mark is not used in these files.',
    remedy: "Write keys as 'name: value'.",
  };
}
