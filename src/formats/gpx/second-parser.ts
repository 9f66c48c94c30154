import type { MessagePort } from 'node:worker_threads';
import { DOMParser } from '@xmldom/xmldom';

/**
 * Why the second parser does not accept a UTF-8 text, in one line; undefined when it does.
 *
 * On its own the parser repairs what it can and reports each repair; anything above a warning counts as a refusal here.
 * It accepts NUL, control characters, a bare `&` and unquoted values, all of which the first parser refuses.
 */
export function refusalReason(text: Uint8Array): string | undefined {
  let reason: string | undefined;
  const refuse = (message: string): never => {
    reason = message.trim().split('\n')[0];
    throw new Error(reason);
  };
  try {
    const decoded = new TextDecoder('utf-8', { fatal: true }).decode(text);
    new DOMParser({
      locator: false,
      onError: (level, message) => {
        if (level !== 'warning') refuse(String(message));
      },
    }).parseFromString(decoded, 'text/xml');
    return undefined;
  } catch (error) {
    return reason ?? (error as Error).message.split('\n')[0];
  }
}

/** Worker task that replies why a text is not accepted; see `output-validation.ts`. */
export function serve(_data: undefined, port: MessagePort): void {
  port.on('message', (text: Uint8Array) => port.postMessage({ reason: refusalReason(text) }));
}
