import { parentPort } from 'node:worker_threads';
import type { AbortSignalLike } from '../../ports/abort';
import { toPlainError, type FromWorker, type ToWorker } from './workerMessages';

/**
 * Serves jobs inside a worker thread: the one statement of a worker's entry file. Requests and results must be plain data
 * or typed arrays. An abort arrives between two awaits of the job, which sees it through its signal.
 * @throws Error outside of a worker thread
 */
export function serveWorker(job: (request: unknown, signal: AbortSignalLike) => Promise<unknown>): void {
  const port = parentPort;
  if (port === null) throw new Error('This file runs as a worker thread only.');
  const running = new Map<number, AbortController>();
  const answer = (message: FromWorker): void => {
    port.postMessage(message);
  };
  port.on('message', (message: ToWorker) => {
    if (message.kind === 'abort') {
      running.get(message.id)?.abort();
      return;
    }
    const { id } = message;
    const controller = new AbortController();
    running.set(id, controller);
    job(message.request, controller.signal)
      .then((result) => {
        answer({ kind: 'done', id, result });
      })
      .catch((error: unknown) => {
        answer({ kind: 'failed', id, error: toPlainError(error) });
      })
      .finally(() => running.delete(id));
  });
}
