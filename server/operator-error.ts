/**
 * A fault that the person who runs the service can mend: a wrong setting, a folder in use, a database too new. The
 * message is one line that names the thing, what is wrong with it and the fix; it is printed alone, without a stack.
 */
export class OperatorError extends Error {
  override readonly name = 'OperatorError';

  constructor(message: string, options?: ErrorOptions) {
    super(message.replaceAll(/\s*\n\s*/g, ' '), options);
  }
}
