/** Lets the thread look at what else was asked of it. */
export function nextTurn(): Promise<void> {
  return new Promise((resolve) => {
    setTimeout(resolve, 0);
  });
}
