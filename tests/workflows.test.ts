import { spawn } from 'node:child_process';
import { mkdirSync, readFileSync, writeFileSync } from 'node:fs';
import { createServer } from 'node:http';
import type { AddressInfo } from 'node:net';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { parse } from 'yaml';
import { program } from '../src/cli/program';
import { temporaryFolder } from './platform/temporaryFolder';

const WORDS = /--(?:format|report|base|fail-on)\b/g;

/** Every call of the command in a workflow, its lines joined. */
function callsIn(file: string): string[] {
  const calls: string[] = [];
  const visit = (value: unknown): void => {
    if (typeof value === 'string' && value.includes('damper-review.cjs')) calls.push(value.replace(/\s+/g, ' '));
    else if (typeof value === 'object' && value !== null) Object.values(value).forEach(visit);
  };
  visit(parse(readFileSync(file, 'utf8')));
  return calls;
}

describe('the workflows of docs/workflows', () => {
  const changes = program([]).commands.find((command) => command.name() === 'changes')!;
  const formats = /json.*/.exec(changes.options.find((option) => option.long === '--format')!.description)![0];

  it.each(['docs/workflows/github.yml', 'docs/workflows/gitlab.yml'])(
    '%s calls a command that exists, with its options',
    (file) => {
      const calls = callsIn(file);
      expect(calls).toHaveLength(1);
      expect(calls[0]).toContain('damper-review.cjs" changes'.replace('"', file.includes('github') ? '"' : ''));
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

interface Note {
  readonly id: number;
  readonly author: { readonly id: number };
  body: string;
}

/** Answers as the notes of a merge request do, two to a page; 7 asks (GitLab's documentation of its API: notes, users, pagination). */
async function withNotes(notes: Note[], use: (api: string) => Promise<void>): Promise<readonly string[]> {
  const asked: string[] = [];
  const server = createServer((request, response) => {
    let text = '';
    request.on('data', (part) => (text += String(part)));
    request.on('end', () => {
      const { pathname, searchParams } = new URL(request.url ?? '', 'http://localhost');
      asked.push(`${request.method ?? ''} ${pathname}`);
      const page = Number(searchParams.get('page') ?? '1');
      let answer: unknown = notes.slice(2 * page - 2, 2 * page);
      if (pathname === '/user') answer = { id: 7 };
      if (request.method === 'POST' || request.method === 'PUT') {
        const { body } = JSON.parse(text) as { body: string };
        const id = Number(pathname.split('/').at(-1));
        if (request.method === 'PUT') notes.find((note) => note.id === id)!.body = body;
        else notes.push({ id: notes.length + 1, author: { id: 7 }, body });
        answer = {};
      }
      response.writeHead(request.headers['private-token'] === 'secret' ? 200 : 401, {
        'x-next-page': 2 * page < notes.length ? String(page + 1) : '',
      });
      response.end(JSON.stringify(answer));
    });
  });
  await new Promise<void>((resolve) => server.listen(0, '127.0.0.1', resolve));
  try {
    await use(`http://127.0.0.1:${(server.address() as AddressInfo).port}`);
  } finally {
    server.close();
  }
  return asked;
}

function runNote(folder: string, api: string, token: string): Promise<number | null> {
  const { after_script: script } = (
    parse(readFileSync('docs/workflows/gitlab.yml', 'utf8')) as Record<string, { after_script: string[] }>
  )['damper-review']!;
  const variables = {
    CI_API_V4_URL: api,
    CI_MERGE_REQUEST_PROJECT_ID: '3',
    CI_MERGE_REQUEST_IID: '5',
    DAMPER_REVIEW_TOKEN: token,
  };
  return new Promise((resolve) => {
    const child = spawn('/bin/sh', ['-e', '-c', script.join('\n')], {
      cwd: folder,
      env: { ...process.env, ...variables },
      stdio: 'ignore',
    });
    child.on('close', resolve);
  });
}

describe('the note of a merge request', () => {
  it('is written once, then kept up to date, and that of nobody else is touched', async () => {
    const folder = temporaryFolder();
    mkdirSync(join(folder, 'damper-review'));
    const say = (text: string): void => {
      writeFileSync(join(folder, 'damper-review/comment.md'), text);
    };
    const others = ['hello', '<!-- damper-review -->\nof another', 'third'].map((body, i) => ({
      id: i + 1,
      author: { id: i },
      body,
    }));
    const notes: Note[] = others.map((note) => ({ ...note }));
    await withNotes(notes, async (api) => {
      expect(await runNote(folder, api, '')).toBe(0);
      expect(await runNote(folder, api, 'secret')).toBe(0);
      expect(notes).toEqual(others);
      say('first "quoted" $HOME');
      expect(await runNote(folder, api, 'wrong')).not.toBe(0);
      expect(await runNote(folder, api, 'secret')).toBe(0);
      say('second');
      expect(await runNote(folder, api, 'secret')).toBe(0);
    }).then((asked) => {
      expect(asked.filter((one) => !one.startsWith('GET'))).toEqual([
        'POST /projects/3/merge_requests/5/notes',
        'PUT /projects/3/merge_requests/5/notes/4',
      ]);
    });
    expect(notes).toEqual([...others, { id: 4, author: { id: 7 }, body: '<!-- damper-review -->\nsecond' }]);
  });
});
