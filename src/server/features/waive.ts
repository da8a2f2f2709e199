import type { FileEdits, WaiveParams } from '../../protocol/requests';
import { REVIEW_CONFIG_PATH, readReviewConfig } from '../../files/readReviewConfig';
import { RULES } from '../../review/rules/catalogue';
import { SessionFault } from '../../session/sessionFault';
import type { OpenDocuments } from '../openDocuments';
import type { Place } from '../workspace';

/** A configuration is a few pages; a file larger than this is none. */
const MOST_BYTES = 4 * 1024 * 1024;

/** A waiver of a rule for one file, added to damper-review.yaml. @throws SessionFault where it would not hold */
export async function waiveEdits(place: Place, params: WaiveParams, documents: OpenDocuments): Promise<FileEdits> {
  const { repository, path } = place;
  if (!RULES.has(params.rule))
    throw new SessionFault(`There is no rule "${params.rule}".`, 'Waive a finding of the review.');
  const uri = repository.folder.uriOf(REVIEW_CONFIG_PATH);
  const stored = await repository.storedText(REVIEW_CONFIG_PATH, MOST_BYTES);
  const text = documents.at(uri)?.getText() ?? stored;
  const next = withWaiver(text ?? 'formatVersion: 1\n', {
    rule: params.rule,
    file: globOf(path),
    reason: params.reason,
    by: params.by,
    until: params.until,
  });
  const before = readReviewConfig(REVIEW_CONFIG_PATH, new TextEncoder().encode(text ?? ''));
  const { config, problems } = readReviewConfig(REVIEW_CONFIG_PATH, new TextEncoder().encode(next));
  const known = new Set(before.problems.map(({ message }) => message));
  const fault = problems.find(({ message }) => !known.has(message)) ?? problems[0];
  if (config.waivers.length <= before.config.waivers.length)
    throw new SessionFault(
      fault === undefined
        ? 'damper-review.yaml has no place for a waiver.'
        : `The waiver does not hold: ${fault.message}`,
      fault?.remedy ?? 'Write it under waivers by hand.',
    );
  return { files: [{ uri, text: next, isNew: stored === undefined }], notes: [] };
}

interface NewWaiver {
  readonly rule: string;
  readonly file: string;
  readonly reason: string;
  readonly by: string;
  readonly until: string;
}

/** The text with one more waiver at the end of its list; every other line stays as it is. */
export function withWaiver(text: string, waiver: NewWaiver): string {
  const end = text.includes('\r\n') ? '\r\n' : '\n';
  const lines = text.split(/\r?\n/);
  while (lines.length > 0 && lines.at(-1)!.trim() === '') lines.pop();
  const key = lines.findIndex((line) => /^waivers:\s*(#.*)?$/.test(line) || /^waivers:\s*\[\s*\]\s*(#.*)?$/.test(line));
  const entry = (indent: string): string[] => [
    `${indent}- rule: ${waiver.rule}`,
    `${indent}  file: ${quoted(waiver.file)}`,
    `${indent}  reason: ${quoted(waiver.reason)}`,
    `${indent}  by: ${quoted(waiver.by)}`,
    `${indent}  until: ${waiver.until}`,
  ];
  if (key < 0) return [...lines, '', 'waivers:', ...entry('  '), ''].join(end);
  lines[key] = lines[key]!.replace(/\[\s*\]/, '').trimEnd();
  const first = lines.slice(key + 1).find((line) => line.trim() !== '' && !/^\s*#/.test(line));
  const indent = /^(\s*)-/.exec(first ?? '')?.[1] ?? '  ';
  let last = key;
  for (let at = key + 1; at < lines.length; at++) {
    const line = lines[at]!;
    if (line.trim() === '' || /^\s*#/.test(line)) continue;
    if (!/^\s/.test(line) && !(indent === '' && line.startsWith('-'))) break;
    last = at;
  }
  return [...lines.slice(0, last + 1), ...entry(indent), ...lines.slice(last + 1), ''].join(end);
}

/** Double quotes of JSON are those of YAML, whatever stands between them. */
function quoted(text: string): string {
  return JSON.stringify(text);
}

/** A path as a pattern of itself: what would be a wildcard stands for any one character. */
function globOf(path: string): string {
  return path.replace(/[*?[\]{}()!+@\\]/g, '?');
}
