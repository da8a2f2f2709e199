import { isHostMessage } from '../src/protocol/pageMessages';
import { byId, element, speak } from './dom';
import { tellHost } from './host';
import { emptyPage, selectRow, showPage } from './page';
import { chartRoom, watchRoom } from './room';
import { watchTheme } from './themeColours';

/** A second refusal of one kind is not told again. */
const told = new Set<string>();

function refuse(reason: string): void {
  if (told.has(reason)) return;
  told.add(reason);
  byId('notice').replaceChildren(element('p', {}, reason));
  tellHost({ kind: 'refused', reason });
}

/** Whatever the policy had to stop is told, so that a test can count it and a user can report it. */
document.addEventListener('securitypolicyviolation', ({ violatedDirective, blockedURI, sourceFile, lineNumber }) => {
  tellHost({
    kind: 'refused',
    reason: `The page's policy stopped ${violatedDirective} ${blockedURI} (${sourceFile}:${lineNumber}).`.slice(
      0,
      1000,
    ),
  });
});

window.addEventListener('message', ({ data }: MessageEvent<unknown>) => {
  if (!isHostMessage(data)) {
    refuse('A message that does not fit was refused; the page shows what it showed before.');
    return;
  }
  if (data.kind === 'show') {
    showPage(data.view).catch((error: unknown) => {
      refuse(`A chart could not be drawn: ${error instanceof Error ? error.message : String(error)}`.slice(0, 1000));
    });
  } else if (data.kind === 'select') {
    const said = selectRow(data.row);
    if (said !== '') speak(said);
  } else emptyPage(data.page, data.sentence);
});

watchTheme();
watchRoom();
tellHost({ kind: 'ready', width: chartRoom() });
