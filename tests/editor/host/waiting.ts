/** Waits for a state, never for a time: asks until it holds, and says what it saw instead when it never did. */
export async function stateOf(
  what: string,
  holds: () => Promise<boolean> | boolean,
  seen: () => Promise<string> | string = () => '',
): Promise<void> {
  const end = Date.now() + LONGEST;
  for (;;) {
    if (await holds()) return;
    if (Date.now() > end) throw new Error(`Never came: ${what}. Seen instead: ${await seen()}`);
    await new Promise((resolve) => {
      setTimeout(resolve, 60);
    });
  }
}

/** A bound against hanging, not a measurement. */
const LONGEST = 30_000;
