import { readdirSync, readFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { ofRun } from './runEnvironment';
import type { Workbench } from './workbench';

/** A message between client and server, as the client wrote it down in its own log. */
export interface Message {
  readonly direction: 'sent' | 'received';
  readonly method: string;
  readonly params: unknown;
  /** When the client sent or took it [ms since 1970]. */
  readonly at: number;
}

/** What the client and the server of one window say to each other, read from the log file that the editor keeps of our output. */
export class ServerTrace {
  readonly #folder: string;

  private constructor(folder: string) {
    this.#folder = folder;
  }

  /** Has the client write down every message from now on, as a user does who reports a fault. @param folder of the window */
  static async begin(editor: Workbench, folder: string): Promise<ServerTrace> {
    await editor.command('Developer: Set Log Level...');
    await editor.quick.choose('Damper Spec Review');
    await editor.quick.choose('Trace');
    await editor.quick.closed();
    return new ServerTrace(folder);
  }

  /** Everything so far, in order. Only the log that names files of the folder is this window's. */
  messages(): readonly Message[] {
    const logs = join(ofRun('work'), 'user', 'logs');
    const folders = readdirSync(logs, { recursive: true, encoding: 'utf8' })
      .filter((path) => path.endsWith('/Damper Spec Review.log'))
      .map((path) => join(logs, dirname(path)));
    return messagesOf(folders.map(wholeLog).find((text) => text.includes(this.#folder)) ?? '');
  }
}

/** A log that grows large is put aside under a number, the oldest under the highest. */
function wholeLog(folder: string): string {
  const numberOf = (name: string): number | undefined => {
    const found = /^Damper Spec Review(?:\.(\d+))?\.log$/.exec(name);
    return found === null ? undefined : Number(found[1] ?? 0);
  };
  return readdirSync(folder)
    .filter((name) => numberOf(name) !== undefined)
    .sort((a, b) => numberOf(b)! - numberOf(a)!)
    .map((name) => readFileSync(join(folder, name), 'utf8'))
    .join('');
}

/** A line with the time begins an entry; the parameters of a message follow it as JSON on lines of their own. */
function messagesOf(log: string): Message[] {
  const entries = log.split(/^(?=\d{4}-\d\d-\d\d \d\d:\d\d:\d\d\.\d{3} \[)/m);
  return entries.flatMap((entry) => {
    const head = /^(\S+ \S+) \[trace\] (Sending|Received) notification '([^']+)'/.exec(entry);
    if (head === null) return [];
    const params = /^Params: ([\s\S]*)$/m.exec(entry)?.[1];
    return [
      {
        at: Date.parse(`${head[1]!.replace(' ', 'T')}Z`),
        direction: head[2] === 'Sending' ? 'sent' : 'received',
        method: head[3]!,
        params: params === undefined ? undefined : (JSON.parse(params) as unknown),
      } as const,
    ];
  });
}
