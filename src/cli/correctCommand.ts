import { locateRepository } from './repositoryRoot';
import { deliver } from './output';
import { withSession } from './openSession';
import type { OutputOptions } from './program';

/** `correct`: what explains the drift of one result, named by its path or by SERIAL/BUILD of the repository around the working folder. */
export async function runCorrect(name: string, options: OutputOptions & { readonly cache: boolean }): Promise<void> {
  const { root, path } = locateNamed(name);
  const { result, correction } = await withSession(root, options.cache, (session, run) => session.correct(path, run));
  await deliver(options, async (format, terminal) => {
    switch (format) {
      case 'text':
        return (await import('../reports/correctionText')).renderCorrectionText(result, correction, terminal);
      case 'json': {
        const { correctionDocument } = await import('../reports/correctionJson');
        return JSON.stringify(correctionDocument(result, correction), undefined, 2);
      }
      case 'markdown':
        return (await import('../reports/correctionMarkdown')).renderCorrectionMarkdown(result, correction);
      case 'html':
        return (await import('../reports/correctionHtml')).renderCorrectionHtml(result, correction, {
          generated: new Date().toISOString(),
        });
    }
  });
}

/** A path that exists names a file relative to the working folder; anything else is left to the session to resolve. */
function locateNamed(name: string): { readonly root: string; readonly path: string } {
  try {
    const { root, paths } = locateRepository([name], process.cwd());
    return { root, path: paths[0] ?? name };
  } catch {
    return { root: locateRepository(['.'], process.cwd()).root, path: name };
  }
}
