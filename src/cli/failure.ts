/** A command that cannot be carried out as asked: the message is for the person at the keyboard, the exit status is 2. */
export class CommandFailure extends Error {
  override readonly name = 'CommandFailure';
}
