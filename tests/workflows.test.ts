import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { parse } from 'yaml';
import { program } from '../src/cli/program';

const WORDS = /--(?:format|report|base|fail-on)\b/g;

/** Every call of the command in a workflow, its lines joined. */
function callsIn(file: string): string[] {
  const calls: string[] = [];
  const visit = (value: unknown): void => {
    if (typeof value === 'string' && value.includes('damper-review.mjs')) calls.push(value.replace(/\s+/g, ' '));
    else if (typeof value === 'object' && value !== null) Object.values(value).forEach(visit);
  };
  visit(parse(readFileSync(file, 'utf8')));
  return calls;
}

describe('the workflows of docs/workflows', () => {
  const changes = program().commands.find((command) => command.name() === 'changes')!;
  const formats = /json.*/.exec(changes.options.find((option) => option.long === '--format')!.description)![0];

  it.each(['docs/workflows/github.yml', 'docs/workflows/gitlab.yml'])(
    '%s calls a command that exists, with its options',
    (file) => {
      const calls = callsIn(file);
      expect(calls).toHaveLength(1);
      expect(calls[0]).toContain('damper-review.mjs" changes'.replace('"', file.includes('github') ? '"' : ''));
      for (const option of calls[0]!.match(WORDS)!) expect(changes.options.map(({ long }) => long)).toContain(option);
      for (const [, format] of calls[0]!.matchAll(/--(?:report|format) ([a-z]+)/g)) expect(formats).toContain(format);
    },
  );

  it('no text of the pull request reaches a shell but through the environment', () => {
    const { jobs } = parse(readFileSync('docs/workflows/github.yml', 'utf8')) as {
      jobs: { review: { steps: { run?: string }[] } };
    };
    for (const { run } of jobs.review.steps) expect(run ?? '').not.toContain('${{');
  });
});
