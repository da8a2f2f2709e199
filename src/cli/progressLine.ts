import type { Progress } from '../ports/services';
import { escapeTerminal } from '../text/terminal';

/** One line on a terminal's standard error that says what is being done; silent where standard error is no terminal. */
export class ProgressLine {
  private shown = false;
  private last = 0;

  /** @param terminal undefined where standard error is none */
  constructor(private readonly terminal: NodeJS.WriteStream | undefined) {}

  readonly report: Progress = (what, share) => {
    if (this.terminal === undefined) return;
    const now = Date.now();
    if (now - this.last < 80) return;
    this.last = now;
    const percent = share === undefined ? '' : ` ${Math.floor(100 * share)} %`;
    const width = Math.max(20, this.terminal.columns - 1);
    this.terminal.write(`\r\u001b[2K${(escapeTerminal(what) + percent).slice(0, width)}`);
    this.shown = true;
  };

  /** Clears the line, so that what follows starts on a clean one. */
  end(): void {
    if (this.shown) this.terminal?.write('\r\u001b[2K');
    this.shown = false;
  }
}
