import { NodeRepositoryFiles } from '../platform/node/nodeRepositoryFiles';
import { serveWorker } from '../platform/node/logWorker';
import { textTeller } from '../reports/text';
import { ReviewSession } from '../session/reviewSession';
import { portsOn } from './openSession';
import type { SettingAndJob } from './sharers';

/** The worker thread that takes a share of a large review: a session of its own on the same repository, which it keeps from job to job. */
export function serveShares(): void {
  let opened: { readonly session: ReviewSession; readonly teller: ReturnType<typeof textTeller> } | undefined;
  serveWorker((message, signal) => {
    const { setting, job } = message as SettingAndJob;
    opened ??= {
      session: new ReviewSession(portsOn(new NodeRepositoryFiles(setting.root), setting.useCache)),
      teller: textTeller(setting.form),
    };
    return opened.session.share(opened.teller, job, { signal });
  });
}
