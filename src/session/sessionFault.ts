/** What was asked of the session cannot be done as asked; nothing was read or written half. For the user, with what to do instead. */
export class SessionFault extends Error {
  override readonly name = 'SessionFault';
  constructor(
    message: string,
    readonly remedy: string,
  ) {
    super(message);
  }
}
